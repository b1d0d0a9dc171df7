"""How far what was derived lies from the closed form of the linear unit."""

from dataclasses import dataclass

import numpy as np

from app.measure.derived import Derived
from dsp import Bools, Floats
from tests.benchmarks.setting import BENCH, LEVEL_V, UNIT

LOW_HZ, HIGH_HZ = 20.0, 20_000.0
_FINE = 20_001  # points of a band whose mean is taken


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Errors:
    """Signed errors between 20 Hz and 20 kHz: dB, deg, %, deg.

    ``heard`` and ``driven`` tell which points of the curves of pressure and of impedance count.
    """

    heard: Bools
    level_db: Floats
    level_deg: Floats
    driven: Bools
    impedance_percent: Floats
    impedance_deg: Floats


def errors(derived: Derived) -> Errors:
    """Compare level, whole phase (delay put back) and impedance with the unit's own."""
    level, phase = derived.curves["level"], derived.curves["level_phase"]
    size, angle = derived.curves["impedance"], derived.curves["impedance_phase"]
    heard, driven = _counted(level.frequency_hz), _counted(size.frequency_hz)
    hz = level.frequency_hz[heard]
    pressure = UNIT.pressure_per_volt(hz, BENCH.distance_m) * LEVEL_V
    whole = phase.value[heard] - 360 * hz * derived.numbers["delay_s"].value
    z = UNIT.impedance(size.frequency_hz[driven])
    return Errors(
        heard=heard,
        level_db=level.value[heard] - _spl_db(np.abs(pressure)),
        level_deg=_within_half_a_turn(whole - np.degrees(np.angle(pressure))),
        driven=driven,
        impedance_percent=100 * (size.value[driven] / np.abs(z) - 1),
        impedance_deg=_within_half_a_turn(angle.value[driven] - np.degrees(np.angle(z))),
    )


def sensitivity_db(*, band_hz: tuple[float, float]) -> float:
    """Average the squared pressure over log f: dB re 20 µPa, 1 m, 2.83 V."""
    hz = np.geomspace(*band_hz, _FINE)
    power = np.abs(UNIT.pressure_per_volt(hz, 1.0) * LEVEL_V) ** 2
    mean = np.trapezoid(power, np.log(hz)) / np.log(band_hz[1] / band_hz[0])
    return float(_spl_db(np.sqrt(mean)))


def _spl_db(pressure_pa: Floats) -> Floats:
    level: Floats = 20 * np.log10(pressure_pa / 20e-6)
    return level


def _within_half_a_turn(degrees: Floats) -> Floats:
    out: Floats = (degrees + 180) % 360 - 180
    return out


def _counted(frequency_hz: Floats) -> Bools:
    slack = 1 + 1e-9  # a computed 20 Hz is a typed one
    return (frequency_hz >= LOW_HZ / slack) & (frequency_hz <= HIGH_HZ * slack)
