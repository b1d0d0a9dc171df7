"""A drive unit in closed form, played and recorded without any of Dustcap's own code.

Everything is done on the whole spectrum of a long record, so that the answer is that of the
continuous, linear circuit: no integration step, no filter design. Lumped model of a moving-coil
unit in half space as in Small (J. Audio Eng. Soc. 20 (1972) 383); lossy inductance as a resistor
across a second coil.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import resample

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, kw_only=True)
class OutsideUnit:
    re_ohm: float = 6.6
    le_h: float = 0.18e-3
    l2_h: float = 0.35e-3
    r2_ohm: float = 2.2
    bl_tm: float = 5.2
    mms_kg: float = 7.8e-3
    rms_kg_per_s: float = 0.9
    cms_m_per_n: float = 0.577e-3
    sd_m2: float = 85e-4
    rho: float = 1.19
    c: float = 345.0
    leads: int = 1

    def mechanical(self, f: Floats) -> Complexes:
        s = 2j * np.pi * f
        z: Complexes = self.rms_kg_per_s + s * self.mms_kg + 1 / (s * self.cms_m_per_n)
        return z

    def impedance(self, f: Floats) -> Complexes:
        s = 2j * np.pi * f
        lossy = s * self.l2_h * self.r2_ohm / (s * self.l2_h + self.r2_ohm)
        z: Complexes = self.re_ohm + s * self.le_h + lossy + self.bl_tm**2 / self.mechanical(f)
        return z

    def pressure_per_volt(self, f: Floats, distance_m: float) -> Complexes:
        """Pa/V across the unit, delay to the microphone included."""
        s = 2j * np.pi * f
        velocity = self.leads * self.bl_tm / (self.impedance(f) * self.mechanical(f))
        spread = self.rho * self.sd_m2 / (2 * np.pi * distance_m)
        p: Complexes = s * velocity * spread * np.exp(-s * distance_m / self.c)
        return p


@dataclass(frozen=True, kw_only=True)
class Bench:
    """The chain around the unit, as the chain file under test states it."""

    rate: int
    output_v: float = 10.0
    gain: float = 1.0
    resistor_ohm: float = 0.22
    sense_v: float = 1.0
    pressure_v: float = 1.0
    v_per_pa: float = 0.05
    loopback_v: float = 20.0
    terminal_v: float = 20.0
    distance_m: float = 1.0


def record(
    played: Floats,
    *,
    unit: OutsideUnit,
    bench: Bench,
    channels: dict[str, int],
    offset_s: float = 0.0,
    ppm: float = 0.0,
    snr_db: float | None = 80.0,
    rng: np.random.Generator,
) -> Floats:
    """Return (n, channels) float samples as a recorder would have written them.

    ``offset_s`` is how long before the excitation the recorder started; ``ppm`` how much faster
    its clock ran; noise is white, ``snr_db`` below each channel's rms while it plays.
    """
    whole = 40_000 * int(np.ceil((played.size + 1.5 * bench.rate) / 40_000))
    source = np.fft.rfft(played * bench.output_v * bench.gain, whole)
    f = np.fft.rfftfreq(whole, 1 / bench.rate).astype(np.float64)
    f[0] = 1e-3  # no constant current flows in any of this
    shift = np.exp(-2j * np.pi * f * offset_s)
    current = source / (unit.impedance(f) + bench.resistor_ohm)
    terminal = current * unit.impedance(f)
    heard = {
        "pressure": terminal
        * unit.pressure_per_volt(f, bench.distance_m)
        * bench.v_per_pa
        / bench.pressure_v,
        "sense": current * bench.resistor_ohm / bench.sense_v,
        "terminal": terminal / bench.terminal_v,
        "loopback": source / bench.gain / bench.loopback_v,
    }
    recorded = round(whole * (1 + ppm * 1e-6))
    out = np.zeros((recorded, max(channels.values())))
    for name, channel in channels.items():
        signal = np.fft.irfft(heard[name] * shift, whole)
        loud = np.sqrt(np.sum(signal**2) / played.size)
        if recorded != whole:
            signal = np.asarray(resample(signal, recorded))
        if snr_db is not None:
            signal = signal + rng.standard_normal(recorded) * loud * 10 ** (-snr_db / 20)
        out[:, channel - 1] = signal
    return out[: round((played.size + (offset_s + 0.3) * bench.rate) * (1 + ppm * 1e-6))]
