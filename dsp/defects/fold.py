"""A steady tone laid period under period: what repeats stands in columns."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Complexes, Floats, read_only
from dsp.defects.band import Band


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Folded:
    """One tone's residual, one period a row.

    Attributes
    ----------
    fundamental_pa : float
        Pa, peak.
    rest : (m, k) array
        Pa, m periods of k samples, of all frequencies.
    residual : (m, k) array
        Pa, the same within the band.
    white : (m, k) array
        The same, with the noise made alike over the band; mean square 1 a Hz of bandwidth where
        it is as loud as in the silence.
    phase_rad : (k,) array
        rad in [-pi, pi), place in the cycle of the displacement: 0 is outermost.
    sample_rate_hz : float
        Hz, of a row: within 1 part in 1000 that of the recording.
    """

    fundamental_pa: float
    rest: Floats
    residual: Floats
    white: Floats
    phase_rad: Floats
    sample_rate_hz: float

    def __post_init__(self) -> None:
        for name in ("rest", "residual", "white", "phase_rad"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


LOW_ORDERS = 9


def fold(rest: Floats, *, fundamental: complex, periods: int, band: Band, rate_hz: float) -> Folded:
    """Band-pass a residual and lay its periods under one another.

    The spectrum does both: a stretch of whole periods of a steady tone has no ends, and periods
    that are no whole number of samples become one by reading the spectrum at another rate.

    Parameters
    ----------
    rest : (n,) array
        Pa, the tone without its steady level and H1 to H9, ``periods`` whole periods to the
        nearest sample.
    fundamental : complex
        Pa, peak; phase as of a cosine at the first sample.
    periods : int
        m.
    band : Band
        For n samples.
    rate_hz : float
        Hz.

    Returns
    -------
    Folded

    Notes
    -----
    The pressure before a piston follows its acceleration outward (IEC 60268-5 polarity), so the
    displacement is outermost where the fundamental of the pressure is lowest. The sound's way to
    the microphone delays both alike.
    """
    columns = round(rest.size / periods)
    length = periods * columns
    spectrum = fft.rfft(rest)

    def rows(gain: Floats | float) -> Floats:
        out: Floats = fft.irfft(_fitted(spectrum * gain, length), length) * (length / rest.size)
        return out.reshape(periods, columns)

    turn = 2 * np.pi * np.arange(columns) / columns + np.angle(fundamental)
    return Folded(
        fundamental_pa=abs(fundamental),
        rest=rows(1.0),
        residual=rows(band.passes),
        white=rows(band.whitens),
        # A cosine is lowest half a turn after it is highest.
        phase_rad=turn % (2 * np.pi) - np.pi,
        sample_rate_hz=rate_hz * length / rest.size,
    )


def _fitted(spectrum: Complexes, length: int) -> Complexes:
    out = np.zeros(length // 2 + 1, dtype=np.complex128)
    held = min(out.size, spectrum.size)
    out[:held] = spectrum[:held]
    return out
