"""A production in closed form: good units of a lot, and bad ones, measured with a little noise."""

from dataclasses import dataclass, replace

import numpy as np

from app.measure.trial import Trial
from dsp import Floats
from dsp.acoustic.air import air
from hardware.chain.virtual_schema import Faults
from hardware.virtual.faults import with_faults
from hardware.virtual.lot import unit_of_lot
from hardware.virtual.truth import small_signal
from hardware.virtual.unit import T130, ConeMode, DriveUnit
from tests.app.measure.made_trials import made_curves, made_numbers, made_trial

HZ = np.geomspace(40.0, 16_000.0, 150)
KINDS = (
    "weak_magnet",
    "stiff_suspension",
    "soft_suspension",
    "wrong_mass",
    "glue",  # a part of the cone that rings by itself
    "leak",
    "wrong_unit",  # of another drawing
)
# Standard deviation of the natural logarithm, of one drawing from another of the same size.
_OTHER_DRAWING = {"re_ohm": 0.15, "bl_tm": 0.2, "mms_kg": 0.2, "cms_m_per_n": 0.3, "le_h": 0.3}
_AIR = air(temperature_c=23.0, pressure_kpa=100.0, humidity_percent=45.0)
_SEVERITY = (0.05, 0.5)  # evenly over its logarithm
_VOLTS, _PASCAL = 2.83, 20e-6
_SEATING_DB, _NOISE_DB, _GAIN = 0.03, 0.015, 1e-3
# How well one take tells each parameter, as a share of it.
_TOLD = {"re_ohm": 0.001, "bl_tm": 0.004, "mms_g": 0.005, "cms_mm_per_n": 0.005}
_TOLD_LOSS = 0.01
UNITS = {
    "re_ohm": "ohm",
    "bl_tm": "T m",
    "mms_g": "g",
    "cms_mm_per_n": "mm/N",
    "rms_kg_per_s": "kg/s",
    "sensitivity_db": "dB re 20 µPa",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Measured:
    """Units side by side: curves (units, n), numbers (units,)."""

    level: Floats
    impedance: Floats
    numbers: dict[str, Floats]

    def only(self, which: Floats | slice) -> "Measured":
        """Return some of them."""
        return Measured(
            level=self.level[which],
            impedance=self.impedance[which],
            numbers={name: those[which] for name, those in self.numbers.items()},
        )

    def joined(self, other: "Measured") -> "Measured":
        """Return these and others behind them."""
        return Measured(
            level=np.concatenate([self.level, other.level]),
            impedance=np.concatenate([self.impedance, other.impedance]),
            numbers={
                name: np.concatenate([those, other.numbers[name]])
                for name, those in self.numbers.items()
            },
        )

    def trial(self) -> Trial:
        """Return them as a trial, nobody inspected."""
        return made_trial(
            curves={
                "level": made_curves(HZ, self.level, uncertainty=0.1),
                "impedance": made_curves(HZ, self.impedance, unit="ohm", uncertainty=0.02),
            },
            numbers={
                name: made_numbers(those, unit=UNITS[name]) for name, those in self.numbers.items()
            },
        )


def good_units(count: int, *, rng: np.random.Generator) -> Measured:
    """Measure units of an ordinary lot."""
    return _measured([unit_of_lot(T130, spread=1.0, seed=seed) for seed in range(count)], rng=rng)


def bad_units(count: int, *, rng: np.random.Generator) -> Measured:
    """Measure units of that lot with a fault each, from hardly told to plain."""
    units = []
    for place in range(count):
        unit = unit_of_lot(T130, spread=1.0, seed=10_000_000 + place)
        severity = float(np.exp(rng.uniform(*np.log(_SEVERITY))))
        units.append(_spoilt(unit, kind=KINDS[place % len(KINDS)], severity=severity, rng=rng))
    return _measured(units, rng=rng)


def _spoilt(unit: DriveUnit, *, kind: str, severity: float, rng: np.random.Generator) -> DriveUnit:
    if kind == "leak":
        return replace(unit, rms_kg_per_s=unit.rms_kg_per_s * (1 + 3 * severity))
    if kind == "wrong_unit":
        values = {
            name: getattr(unit, name) * float(np.exp(sd * rng.standard_normal()))
            for name, sd in _OTHER_DRAWING.items()
        }
        return replace(unit, **values)
    if kind == "glue":
        mode = ConeMode(
            hz=float(np.exp(rng.uniform(np.log(500.0), np.log(8000.0)))),
            q=float(rng.uniform(4.0, 12.0)),
            gain=0.6 * severity * float(rng.choice([-1.0, 1.0])),
        )
        return replace(unit, modes=(*unit.modes, mode))
    return with_faults(unit, faults=Faults.model_validate({kind: severity})).unit


def _measured(units: list[DriveUnit], *, rng: np.random.Generator) -> Measured:
    level, impedance = np.empty((2, len(units), HZ.size))
    for row, unit in enumerate(units):
        true = small_signal(unit, air=_AIR)
        level[row] = 20 * np.log10(np.abs(true.pressure_per_volt(HZ)) * _VOLTS / _PASCAL)
        impedance[row] = np.abs(true.impedance(HZ))
    count = len(units)
    level += _SEATING_DB * rng.standard_normal((count, 1))
    level += _NOISE_DB * rng.standard_normal(level.shape)
    impedance *= 1 + _GAIN * rng.standard_normal((count, 1))
    band = (HZ >= 300.0) & (HZ <= 3000.0)
    true_values = {
        "re_ohm": [unit.re_ohm for unit in units],
        "bl_tm": [unit.bl_tm for unit in units],
        "mms_g": [1e3 * unit.mms_kg for unit in units],
        "cms_mm_per_n": [1e3 * unit.cms_m_per_n for unit in units],
        "rms_kg_per_s": [unit.rms_kg_per_s for unit in units],
    }
    numbers = {
        name: np.array(those) * (1 + _TOLD.get(name, _TOLD_LOSS) * rng.standard_normal(count))
        for name, those in true_values.items()
    }
    return Measured(
        level=level,
        impedance=impedance,
        numbers={"sensitivity_db": level[:, band].mean(axis=1), **numbers},
    )
