"""The residual of a take in a folder: a sound at a capped level, and its picture."""

from pathlib import Path

import numpy as np

from app.records.take import Take
from app.report.export_wav import write_wav
from app.report.residual_picture import draw_residual
from dsp.defects.reading import DefectReading
from dsp.defects.residual_map import residual_map
from dsp.defects.slowed import Slowed

# Opened by whatever plays files, on whatever level that was left at: far from full scale.
FILE_PEAK_DBFS = -20.0


def leave_residual(
    reading: DefectReading, *, sound: Slowed, take: Take, folder: Path
) -> tuple[Path, ...]:
    """Write ``residual.wav`` and, where there is one, the picture ``residual``.

    Parameters
    ----------
    reading : DefectReading
        Of the take.
    sound : Slowed
        With its loudest sample at 1; in the file it is at ``FILE_PEAK_DBFS``.
    take : Take
        Named below the picture.
    folder : Path
        Is made.

    Returns
    -------
    tuple of Path
    """
    wav = write_residual(sound, folder / "residual.wav")
    return (wav, *leave_map(reading, take=take, folder=folder))


def write_residual(sound: Slowed, path: Path) -> Path:
    """Write a sound as WAV, its loudest sample at ``FILE_PEAK_DBFS``."""
    samples = (sound.samples * 10 ** (FILE_PEAK_DBFS / 20)).astype(np.float32)
    return write_wav(path, samples, sample_rate_hz=sound.sample_rate_hz)


def leave_map(reading: DefectReading, *, take: Take, folder: Path) -> tuple[Path, ...]:
    """Draw the picture ``residual`` as PNG and SVG; nothing where there is no residual."""
    found = residual_map(reading)
    if found is None:
        return ()
    words = "  ·  ".join(
        (take.unit or "unit", f"take {take.id[:8]}", "pressure without H1 to H9, 0.8 to 15 kHz")
    )
    return draw_residual(found, path=folder / "residual", words=words)
