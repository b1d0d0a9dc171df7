"""The residual as a sound for a person: every tone and the sweep, slowed, at a capped peak."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Floats, read_only
from dsp.defects.reading import DefectReading
from dsp.errors import DspError

SLOWEST = 16
_PAUSE_S = 0.3
_FADE_S = 0.01
_ROOM = 512  # samples


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Slowed:
    """A sound to be written or played.

    Attributes
    ----------
    samples : (n,) array
        Full-scale units, none beyond ``peak`` of ``slowed``.
    sample_rate_hz : float
        Hz, that of the recording.
    pascal : float
        Pa for a sample of 1.
    slower : int
        How many times slower, and lower in pitch, than it was.
    """

    samples: Floats
    sample_rate_hz: float
    pascal: float
    slower: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", read_only(self.samples))

    @property
    def duration_s(self) -> float:
        """Length in s."""
        return self.samples.size / self.sample_rate_hz


def slowed(reading: DefectReading, *, slower: int, peak: float) -> Slowed:
    """Line the residuals up in the order in which they were played.

    Parameters
    ----------
    reading : DefectReading
        Of a take.
    slower : int
        1 to 16; clicks that run into one another at 1 are heard one by one at 8.
    peak : float
        Full-scale units, above 0 and up to 1: what the loudest sample becomes.

    Returns
    -------
    Slowed; a pause between parts. All parts share one scale, so that the loudest is heard to be.

    Raises
    ------
    DspError
        ``slower`` or ``peak`` outside, or nothing was read.
    """
    if not 1 <= slower <= SLOWEST:
        raise DspError("slowed", "slower", given=slower, allowed=f"1 to {SLOWEST}")
    if not 0 < peak <= 1:
        raise DspError("slowed", "peak", given=peak, allowed="above 0, up to 1")
    parts = [(tone.start, tone.residual_pa, tone.sample_rate_hz) for tone in reading.tones]
    if reading.sweep is not None:
        sweep = reading.sweep
        parts.append((sweep.start, sweep.residual_pa, sweep.sample_rate_hz))
    parts = [part for part in parts if part[1].size]
    if not parts:
        raise DspError(
            "slowed", "no residual", allowed="a take with a microphone and a sweep or tones"
        )
    rate_hz = parts[0][2]
    pause = np.zeros(round(_PAUSE_S * rate_hz))
    pieces: list[Floats] = []
    for _, residual, _ in sorted(parts, key=lambda part: part[0]):
        pieces += [_faded(_stretched(residual, slower), rate_hz=rate_hz), pause]
    whole = np.concatenate(pieces)
    largest = float(np.max(np.abs(whole)))
    pascal = largest / peak if largest > 0 else 1.0
    return Slowed(samples=whole / pascal, sample_rate_hz=rate_hz, pascal=pascal, slower=slower)


def _stretched(residual: Floats, slower: int) -> Floats:
    if slower == 1:
        return residual
    # Room behind it, so that its end does not ring into its start.
    size = fft.next_fast_len(residual.size + _ROOM, real=True)
    whole: Floats = slower * fft.irfft(fft.rfft(residual, size), slower * size)
    return whole[: slower * residual.size]


def _faded(part: Floats, *, rate_hz: float) -> Floats:
    edge = min(round(_FADE_S * rate_hz), part.size // 2)
    shape = np.ones(part.size)
    shape[:edge] = np.sin(np.pi / 2 * np.arange(edge) / max(edge, 1)) ** 2
    shape[part.size - edge :] = shape[:edge][::-1]
    return part * shape
