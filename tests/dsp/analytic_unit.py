"""A drive unit in closed form: what every quantity has to find again.

Lumped moving-coil unit in half space (Small, J. Audio Eng. Soc. 20 (1972) 383); lossy inductance
as a resistor across a second coil. Its figures are those of an invented 130 mm unit.
"""

from dataclasses import dataclass

import numpy as np

from dsp import Complexes, Floats
from dsp.response.harmonics import Harmonics


@dataclass(frozen=True, kw_only=True)
class Mode:
    """A cone mode: a small mass on a spring of its own, seen by coil and air alike."""

    hz: float
    q: float
    share: float


@dataclass(frozen=True, kw_only=True)
class AnalyticUnit:
    re_ohm: float = 6.6
    le_h: float = 0.18e-3
    pairs: tuple[tuple[float, float], ...] = ((0.35e-3, 2.2),)  # H, ohm
    semi: tuple[float, float] = (0.0, 0.5)  # K in ohm s^beta, beta
    bl_tm: float = 5.2
    mms_kg: float = 7.8e-3
    rms_kg_per_s: float = 0.9
    cms_m_per_n: float = 0.577e-3
    sd_m2: float = 85e-4
    modes: tuple[Mode, ...] = ()
    rho: float = 1.19
    c: float = 345.0
    leads: int = 1

    @property
    def fs_hz(self) -> float:
        return float(1 / (2 * np.pi * np.sqrt(self.mms_kg * self.cms_m_per_n)))

    def mobility(self, f: Floats) -> Complexes:
        """Velocity of the coil for a force of 1 N, m/(N s)."""
        s = 2j * np.pi * f
        main = 1 / (self.rms_kg_per_s + s * self.mms_kg + 1 / (s * self.cms_m_per_n))
        return np.asarray(main + self._flexing(f, sign=1))

    def _flexing(self, f: Floats, *, sign: int) -> Complexes:
        s = 2j * np.pi * f
        total = np.zeros(f.size, dtype=np.complex128)
        for n, mode in enumerate(self.modes):
            w = 2 * np.pi * mode.hz
            part = mode.share / self.mms_kg * s / (s**2 + s * w / mode.q + w**2)
            total += part * sign ** (n + 1)
        return total

    def impedance(self, f: Floats) -> Complexes:
        s = 2j * np.pi * f
        z = self.re_ohm + s * self.le_h + self.semi[0] * s ** self.semi[1]
        for henry, ohm in self.pairs:
            z = z + s * henry * ohm / (ohm + s * henry)
        return np.asarray(z + self.bl_tm**2 * self.mobility(f))

    def pressure_per_volt(self, f: Floats, *, distance_m: float = 1.0) -> Complexes:
        """Pa/V across the unit; the modes radiate with alternating sign."""
        s = 2j * np.pi * f
        moved = self.mobility(f) - self._flexing(f, sign=1) + self._flexing(f, sign=-1)
        spread = self.rho * self.sd_m2 / (2 * np.pi * distance_m)
        force = self.leads * self.bl_tm / self.impedance(f)
        return np.asarray(s * force * moved * spread * np.exp(-s * distance_m / self.c))


def log_frequencies(
    low_hz: float = 20.0, high_hz: float = 20_000.0, per_octave: int = 48
) -> Floats:
    count = round(np.log2(high_hz / low_hz) * per_octave) + 1
    return np.geomspace(low_hz, high_hz, count)


def stepped_frequencies() -> Floats:
    """About 86 points in three zones, fine at the top and around resonance."""
    zones = ((20_000.0, 2500.0, 12), (2400.0, 200.0, 6), (190.0, 40.0, 12))
    parts = [np.geomspace(b, a, round(np.log2(a / b) * n) + 1) for a, b, n in reversed(zones)]
    return np.concatenate(parts)


def phasors(
    frequency_hz: Floats,
    fundamental: Complexes | Floats,
    *,
    noise: Floats | float = 0.0,
    rng: np.random.Generator | None = None,
) -> Harmonics:
    """One channel with order 1 alone, and noise of a stated standard deviation a part."""
    sd = np.broadcast_to(np.asarray(noise, dtype=np.float64), frequency_hz.shape).copy()
    value = np.asarray(fundamental, dtype=np.complex128).copy()
    if rng is not None:
        parts = rng.standard_normal((2, frequency_hz.size))
        value += sd * (parts[0] + 1j * parts[1])
    return Harmonics(
        frequency_hz=frequency_hz.copy(), amplitude=value[np.newaxis], noise=sd[np.newaxis]
    )
