"""The sound of a take as WAV, 32-bit float: what was recorded, and the impulse response."""

import io
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from app.report.atomic import write_whole
from dsp.response.impulse import ImpulseResponse
from hardware.card import Capture


def export_wav(
    *, capture: Capture | None, impulse: ImpulseResponse | None, folder: Path
) -> tuple[Path, ...]:
    """Write ``capture.wav`` and ``impulse.wav``, those of the two that there are.

    The capture has every input channel, 1.0 = full scale. The impulse response is in Pa/V for one
    sample; a comment in the file tells at which sample it was played.
    """
    written = []
    if capture is not None:
        content = _wav(capture.samples, rate_hz=capture.sample_rate_hz)
        written.append(write_whole(folder / "capture.wav", content))
    if impulse is not None:
        comment = f"Pa/V, time zero at sample {impulse.zero_index} counted from 0"
        samples = impulse.samples.astype(np.float32)
        content = _wav(samples, rate_hz=impulse.sample_rate_hz, comment=comment)
        written.append(write_whole(folder / "impulse.wav", content))
    return tuple(written)


def write_wav(path: Path, samples: NDArray[np.float32], *, sample_rate_hz: float) -> Path:
    """Write samples, (n,) or (n, channels), as float WAV, whole or not at all; return its path."""
    return write_whole(path, _wav(samples, rate_hz=sample_rate_hz))


def _wav(samples: NDArray[np.float32], *, rate_hz: float, comment: str = "") -> bytes:
    # In memory first: libsndfile does not tell a full disk from any other mishap.
    content = io.BytesIO()
    channels = 1 if samples.ndim == 1 else samples.shape[1]
    with soundfile.SoundFile(
        content, "w", round(rate_hz), channels, subtype="FLOAT", format="WAV"
    ) as file:
        if comment:
            file.comment = comment
        file.write(samples)
    return content.getvalue()
