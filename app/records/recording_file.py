"""A multichannel audio file as a capture: 1.0 = full scale, nothing looked at but its form."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import soundfile

from app.errors import BadInputError
from hardware.card import Capture


def open_recording(path: Path, *, sample_rate_hz: float) -> Capture:
    """Read a recording made by other means, every channel of it.

    Parameters
    ----------
    path : Path
        Any lossless file that libsndfile reads.
    sample_rate_hz : float
        Hz, which it must have.

    Returns
    -------
    Capture, (n, channels); its time is that of the file.

    Raises
    ------
    BadInputError
        Missing, not audio, wrong rate, not a number.
    """
    try:
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
        made = datetime.fromtimestamp(path.stat().st_mtime, tz=UTC)
    except (OSError, soundfile.LibsndfileError) as error:
        if not path.is_file():
            raise BadInputError(str(path), "no such file") from error
        raise BadInputError(str(path), "not an audio file that can be read") from error
    if rate != sample_rate_hz:
        raise BadInputError(
            str(path), "sample rate", given=f"{rate} Hz", allowed=f"{sample_rate_hz:.0f} Hz"
        )
    if not np.isfinite(samples).all():
        frame, channel = np.argwhere(~np.isfinite(samples))[0]
        raise BadInputError(
            str(path),
            "not a number",
            given=f"channel {channel + 1}, frame {frame}",
            allowed="finite samples",
        )
    return Capture(samples=samples, sample_rate_hz=float(rate), started_utc=made, card=path.name)
