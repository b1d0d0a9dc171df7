"""Record the inputs while nothing plays: what an instrument on the microphone gives."""

from collections.abc import Callable

import numpy as np

from hardware.card import Capture, Card, PlayRequest, Progress
from hardware.chain.load import needed_input_channels
from hardware.chain.schema import Chain

_CEILING = 0.0  # nothing may leave the converter


def listen(
    card: Card,
    *,
    chain: Chain,
    seconds: float,
    on_progress: Callable[[Progress], None],
    should_stop: Callable[[], bool],
) -> Capture:
    """Play silence and record.

    Parameters
    ----------
    card : Card
        Of the chain.
    chain : Chain
        Whose inputs are recorded.
    seconds : float
        s, how long.
    on_progress, should_stop : callable
        As ``Card.play`` takes them.

    Returns
    -------
    Capture, (n, channels).
    """
    rate = float(chain.device.sample_rate)
    request = PlayRequest(
        output=np.zeros(round(seconds * rate), dtype=np.float32),
        output_channel=chain.output.drive.channel,
        input_channels=needed_input_channels(chain),
        sample_rate_hz=rate,
        ceiling=_CEILING,
    )
    return card.play(request, on_progress=on_progress, should_stop=should_stop)
