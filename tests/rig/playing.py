"""What the rig's tests play, and how."""

from collections.abc import Callable
from typing import Any

import numpy as np

from hardware.card import Capture, PlayRequest, Progress, Samples
from hardware.soundcard.card import SoundCard
from tests.rig.software import CHANNELS, RATE


def play(
    card: SoundCard,
    output: Samples,
    *,
    on_progress: Callable[[Progress], None] = lambda _: None,
    should_stop: Callable[[], bool] = lambda: False,
    **other: Any,
) -> Capture:
    """Play out of output 1 and record every input, unless the request is to say otherwise."""
    asked = {
        "output_channel": 1,
        "input_channels": CHANNELS,
        "sample_rate_hz": float(RATE),
        "ceiling": 0.9,
    } | other
    request = PlayRequest(output=output, **asked)
    return card.play(request, on_progress=on_progress, should_stop=should_stop)


def noise(seconds: float) -> Samples:
    """Noise, with silence at both ends as every excitation has."""
    samples = np.random.default_rng(4).uniform(-0.5, 0.5, round(seconds * RATE))
    samples[: RATE // 50] = samples[-RATE // 10 :] = 0
    return samples.astype(np.float32)
