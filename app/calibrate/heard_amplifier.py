"""The amplifier's gain and sign from what the chain's own inputs heard before and behind it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.calibrate.limits import limits_probe
from app.errors import BadInputError
from dsp import Number
from dsp.calibration.gain import Amplifier, gain_between
from dsp.calibration.gain_response import gain_response
from dsp.calibration.hear import hear
from dsp.response.harmonics import Harmonics
from hardware.card import Capture
from hardware.chain.schema import Chain, LoopbackInput, TerminalInput
from hardware.chain.snapshot import ChainSnapshot

LINK = "output.drive"
_RESTS_ON = (
    "input.loopback.full_scale_v",
    "input.terminal.full_scale_v",
    "input.terminal.gain",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardAmplifierMethod:
    """How it is found without a meter: a stepped sine, loopback and terminals recorded.

    Attributes
    ----------
    peak : float
        Of the probe, full-scale units.
    """

    peak: float

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,  # noqa: ARG002  it is held against what the chain states
    ) -> Found:
        """Read the recording; see ``Method.find``."""
        if len(captures) != 1:
            raise BadInputError("--capture", "recordings", given=len(captures), allowed="one")
        before, after = _heard(captures[0], chain=chain.chain, peak=self.peak)
        response = gain_response(after, before=before)
        drive = chain.chain.output.drive
        found = gain_between(
            after,
            before=before,
            scales_uncertainty_percent=_scales_percent(chain.chain),
            amplifier=Amplifier(
                expected=None if asked.exchanged else drive.amplifier_gain, response=response
            ),
        )
        return Found(
            link=LINK,
            results=(found,),
            method="Stepped sine, the voltage behind the amplifier by input.terminal over that "
            "before it by input.loopback, as loaded; scales as the chain states them.",
            given={"peak": self.peak},
            numbers={
                "amplifier_flatness_db": Number(
                    value=response.flatness_db,
                    unit="dB",
                    how="farthest from 1 kHz, 20 Hz to 20 kHz",
                ),
                "amplifier_delay_s": Number(
                    value=response.delay_s, unit="s", how="slope of the phase"
                ),
            },
            rests_on=_RESTS_ON,
        )


def both_sides(chain: Chain) -> tuple[LoopbackInput, TerminalInput]:
    """Return the inputs before and behind the amplifier.

    Raises
    ------
    BadInputError
        The chain does not wire both.
    """
    loop, terminal = chain.input.loopback, chain.input.terminal
    if loop is None or terminal is None:
        raise BadInputError(
            "--from-inputs",
            "one side of the amplifier is not heard",
            allowed="[input.loopback] and [input.terminal], or a voltmeter",
        )
    return loop, terminal


def _scales_percent(chain: Chain) -> float:
    # Expanded; what drops across the sense resistor is a small part, and its scale smaller still.
    loop, terminal = both_sides(chain)
    return math.hypot(
        loop.full_scale_uncertainty_percent,
        terminal.full_scale_uncertainty_percent,
        terminal.gain_uncertainty_percent,
    )


def _heard(capture: Capture, *, chain: Chain, peak: float) -> tuple[Harmonics, Harmonics]:
    """Return the volts before the amplifier, and those across all that hangs on it."""
    loop, terminal = both_sides(chain)
    volts = {loop.channel: loop.full_scale_v, terminal.channel: terminal.full_scale_v}
    volts[terminal.channel] /= terminal.gain
    if (sense := chain.input.sense) is not None:
        # The terminals are those of the unit: the resistor behind it takes its part of the gain.
        volts[sense.channel] = sense.full_scale_v / sense.gain
    count = capture.samples.shape[1]
    if (most := max(volts)) > count:
        raise BadInputError(capture.card, "no such channel", given=most, allowed=f"1 to {count}")
    heard = hear(
        capture.samples[:, [channel - 1 for channel in volts]].astype(np.float64),
        excitation=limits_probe(chain, peak=peak),
        by=0,
    )
    if any(heard.clipped):
        raise BadInputError("--from-inputs", "an input clipped", allowed="a softer probe: --peak")
    first, *rest = (one.scaled(by) for one, by in zip(heard.channels, volts.values(), strict=True))
    return first, Harmonics(
        frequency_hz=first.frequency_hz,
        amplitude=np.sum([one.amplitude for one in rest], axis=0),
        noise=np.linalg.norm([one.noise for one in rest], axis=0),
    )
