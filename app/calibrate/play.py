"""Play a probe within what the chain allows, and record every input meanwhile."""

from collections.abc import Callable

import numpy as np

from app.errors import BadInputError
from dsp.excitation.excitation import Excitation
from hardware.card import Capture, Card, PlayRequest, Progress
from hardware.chain.ceiling import output_ceiling
from hardware.chain.load import needed_input_channels
from hardware.chain.schema import Chain

_LATENCY_S = 0.2  # what the card's buffers hold at most; the end must still be heard
_ORDINARY_PEAK = 0.5
_BELOW = 0.9  # of what the chain allows


def chosen_peak(chain: Chain, peak: float | None) -> float:
    """Return the peak of a probe, full-scale units: as typed, otherwise what is safe to play.

    Raises
    ------
    BadInputError
        More than the chain allows at the unit's terminals.
    """
    most = output_ceiling(chain)
    if peak is None:
        return min(_ORDINARY_PEAK, _BELOW * most)
    if not 0 < peak <= most:
        raise BadInputError(
            "--peak",
            "not within what the chain allows",
            given=f"{peak:g}",
            allowed=f"above 0 to {most:.4g} of full scale, max_terminal_v_rms of "
            f"{chain.output.drive.max_terminal_v_rms:g} V",
        )
    return peak


def probe_request(probe: Excitation, *, chain: Chain) -> PlayRequest:
    """Return what a card has to do to play a probe on the driving output.

    Parameters
    ----------
    probe : Excitation
        Full-scale units.
    chain : Chain
        Channels, and what may be played.
    """
    rate = float(chain.device.sample_rate)
    room = round(_LATENCY_S * rate)
    return PlayRequest(
        output=np.pad(probe.samples.astype(np.float32), (0, room)),
        output_channel=chain.output.drive.channel,
        input_channels=needed_input_channels(chain),
        sample_rate_hz=rate,
        ceiling=output_ceiling(chain),
        copy_channel=chain.output.drive.copy_channel,
    )


def play_probe(
    card: Card,
    *,
    probe: Excitation,
    chain: Chain,
    on_progress: Callable[[Progress], None],
    should_stop: Callable[[], bool],
) -> Capture:
    """Play a probe on the driving output.

    Parameters
    ----------
    card : Card
        Of the chain.
    probe : Excitation
        Full-scale units.
    chain : Chain
        Channels, and what may be played.
    on_progress, should_stop : callable
        As ``Card.play`` takes them.

    Returns
    -------
    Capture, (n, channels).

    Raises
    ------
    OutputTooHighError
        More than the chain allows.
    """
    return card.play(
        probe_request(probe, chain=chain), on_progress=on_progress, should_stop=should_stop
    )
