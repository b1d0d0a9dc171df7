"""One channel of an audio file, for an excitation that plays it."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from app.errors import AppError
from dsp import Floats, read_only

_LONGEST_S = 600.0


class AudioRefusedError(AppError):
    """An audio file that cannot be played: which key named what, and what would do."""

    def __init__(
        self, key: str, what: str, *, given: object, allowed: object | None = None
    ) -> None:
        self.key, self.what, self.given, self.allowed = key, what, given, allowed
        super().__init__(f"{key}: {what}: given {given}")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Audio:
    """Samples (n,), 1.0 = full scale of the file, and their rate in Hz."""

    samples: Floats
    rate_hz: float


def read_audio(path: Path, *, channel: int) -> Audio:
    """Read one channel of an audio file.

    Parameters
    ----------
    path : Path
        Any file that libsndfile reads, up to 600 s.
    channel : int
        From 1.

    Returns
    -------
    Audio, (n,)

    Raises
    ------
    AudioRefusedError
        Missing, not audio, too long, without that channel, silent or not finite.
    """
    given = path.name
    if not path.is_file():
        raise AudioRefusedError("path", "no such file", given=path)
    try:
        with soundfile.SoundFile(path) as file:
            if not 1 <= channel <= file.channels:
                allowed = f"1 to {file.channels}"
                raise AudioRefusedError(
                    "channel", f"not in {given}", given=channel, allowed=allowed
                )
            if file.frames > _LONGEST_S * file.samplerate:
                raise AudioRefusedError(
                    "path",
                    "too long",
                    given=f"{file.frames / file.samplerate:.0f} s",
                    allowed=f"up to {_LONGEST_S:g} s",
                )
            samples = file.read(dtype="float64", always_2d=True)[:, channel - 1]
            rate_hz = float(file.samplerate)
    except (OSError, soundfile.LibsndfileError) as error:
        raise AudioRefusedError("path", "not audio that can be read", given=given) from error
    if not np.isfinite(samples).all():
        raise AudioRefusedError("path", "holds samples that are no numbers", given=given)
    if not samples.any():
        raise AudioRefusedError("path", f"channel {channel} is silent", given=given)
    return Audio(samples=read_only(np.ascontiguousarray(samples)), rate_hz=rate_hz)
