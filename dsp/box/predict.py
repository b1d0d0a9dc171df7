"""The predicted response of a unit in a box, as curves and numbers with their uncertainty."""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from dsp.acoustic.air import Air
from dsp.acoustic.level import REFERENCE_PA, UNIT
from dsp.arrays import Complexes, Floats
from dsp.box.closed_alignment import closed_system
from dsp.box.corner import corner_hz, peak_db
from dsp.box.drive import Drive
from dsp.box.enclosure import Box, VentedBox
from dsp.box.figures import Figures, figures
from dsp.box.limits import Limit, model_limits, predicted_range
from dsp.box.spread import ParameterCovariance, neighbours, slopes, standard_uncertainty
from dsp.box.unit import BoxUnit, passband_pa_per_v
from dsp.curve import Curve
from dsp.errors import DspError
from dsp.number import Number
from dsp.statistics.decibel import relative_to_db

HALF_POWER_DB = 10 * math.log10(2)
TENTH_DB = 10.0  # the end of the effective frequency range (IEC 60268-5)
_BARE = "coil without inductance"
_HOW = "predicted from the unit's small-signal parameters"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Prediction:
    """A boxed unit, predicted.

    Attributes
    ----------
    unit, box : BoxUnit, ClosedBox or VentedBox
        What was predicted.
    curves : mapping
        ``level`` (dB re 20 µPa), ``level_phase`` (deg, without the way through the air),
        ``group_delay`` (ms, the same), ``impedance`` (ohm), ``impedance_phase`` (deg),
        ``excursion`` (mm, peak), and for a vented box with a known vent ``vent_speed`` (m/s, peak).
    numbers : mapping
        ``f3_hz``, ``f10_hz``, ``peak_db``, ``passband_db`` and ``passband_loud_db`` (level of the
        flat part, for the drive and for the louder voltage), all with the coil's inductance left
        out; ``alpha`` (Vas over the box's volume); of a closed box ``fc_hz`` and ``qtc``, of a
        vented one ``tuning_ratio`` (fb over fs).
    limits : tuple of Limit
        What the model leaves out.
    """

    unit: BoxUnit
    box: Box
    curves: Mapping[str, Curve]
    numbers: Mapping[str, Number]
    limits: tuple[Limit, ...]


def predict(
    unit: BoxUnit,
    *,
    box: Box,
    air: Air,
    drive: Drive,
    frequency_hz: Floats,
    known: ParameterCovariance | None = None,
    loud_v: float | None = None,
) -> Prediction:
    """Predict what a unit does in a box.

    Parameters
    ----------
    unit, box, air : BoxUnit, ClosedBox or VentedBox, Air
        What is predicted.
    drive : Drive
        Voltage that the level is for.
    frequency_hz : (m,) array
        Hz, strictly rising.
    known : ParameterCovariance or None
        How well the unit's parameters are known; None: no uncertainty is told.
    loud_v : float or None
        V rms that excursion and air speed in the vent are for; None: those of ``drive``.

    Returns
    -------
    Prediction; uncertainties expanded, k = 2, and of the parameters alone: what the model leaves
    out (``limits.model_limits``) is not in them.
    """
    task = _Task(
        unit=unit,
        box=box,
        air=air,
        drive=drive,
        hz=frequency_hz,
        known=known,
        louder=1.0 if loud_v is None else loud_v / drive.volts,
    )
    return Prediction(
        unit=unit,
        box=box,
        curves=_curves(task),
        numbers=_numbers(task) | _system(task),
        limits=model_limits(unit, box=box, air=air),
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class _Task:
    unit: BoxUnit
    box: Box
    air: Air
    drive: Drive
    hz: Floats
    known: ParameterCovariance | None
    louder: float

    @cached_property
    def found(self) -> Figures:
        return self._answer(self.unit)

    @cached_property
    def varied(self) -> tuple[tuple[Figures, Figures], ...]:
        return tuple((self._answer(up), self._answer(down)) for up, down in neighbours(self.unit))

    def _answer(self, unit: BoxUnit) -> Figures:
        return figures(unit, box=self.box, air=self.air, drive=self.drive, frequency_hz=self.hz)

    def doubt(self, pairs: Iterable[tuple[Floats, Floats]]) -> Floats | None:
        # Expanded uncertainty of a real result, in its unit, from what its neighbours give.
        if self.known is None:
            return None
        return 2 * standard_uncertainty(slopes(tuple(pairs)), known=self.known)

    def doubts(self, of: Callable[[Figures], Complexes]) -> tuple[Floats | None, Floats | None]:
        # Relative, and in deg. Against the figure itself, so that no angle jumps by a turn.
        if self.known is None:
            return None, None
        here = of(self.found)
        with np.errstate(divide="ignore", invalid="ignore"):  # a diaphragm that stands still
            slope = slopes([(np.log(of(a) / here), np.log(of(b) / here)) for a, b in self.varied])
        relative, turned = (
            2 * standard_uncertainty(part, known=self.known) for part in (slope.real, slope.imag)
        )
        return relative, np.degrees(turned)

    def curve(self, value: Floats, *, unit: str, uncertainty: Floats | None, how: str) -> Curve:
        return Curve(
            frequency_hz=self.hz,
            value=value,
            unit=unit,
            valid=predicted_range(self.unit, box=self.box, air=self.air),
            uncertainty=uncertainty,
            how=f"{_HOW}, {how}",
        )

    def number(self, of: Callable[[BoxUnit], float], *, unit: str, how: str) -> Number:
        doubt = self.doubt((np.array(of(a)), np.array(of(b))) for a, b in neighbours(self.unit))
        return Number(
            value=of(self.unit),
            unit=unit,
            uncertainty=None if doubt is None else float(doubt),
            how=how,
        )


def _curves(task: _Task) -> dict[str, Curve]:
    found = task.found
    volts = f"{task.drive.volts:.4g} V"
    place = f"{task.drive.distance_m:g} m, half space, {volts}"
    relative, turned = task.doubts(lambda figures: figures.pressure)
    ohm, ohm_turned = task.doubts(lambda figures: figures.impedance)
    curves = {
        "level": task.curve(
            20 * np.log10(np.abs(found.pressure) / REFERENCE_PA),
            unit=UNIT,
            uncertainty=None if relative is None else relative_to_db(relative),
            how=place,
        ),
        "level_phase": task.curve(
            _continuous(found.pressure),
            unit="deg",
            uncertainty=turned,
            how="without the way through the air",
        ),
        "group_delay": task.curve(
            1e3 * found.group_delay_s,
            unit="ms",
            uncertainty=task.doubt(
                (1e3 * up.group_delay_s, 1e3 * down.group_delay_s) for up, down in task.varied
            ),
            how="without the way through the air",
        ),
        "impedance": task.curve(
            np.abs(found.impedance),
            unit="ohm",
            uncertainty=None if ohm is None else ohm * np.abs(found.impedance),
            how="at the terminals",
        ),
        "impedance_phase": task.curve(
            np.degrees(np.angle(found.impedance)),
            unit="deg",
            uncertainty=ohm_turned,
            how="at the terminals",
        ),
        "excursion": _peak(
            task, of=lambda figures: figures.displacement, scale=1e3 * task.louder, unit="mm"
        ),
    }
    if isinstance(task.box, VentedBox) and task.box.vent is not None:
        curves["vent_speed"] = _peak(
            task, of=_vent_flow, scale=task.louder / task.box.vent.total_m2, unit="m/s"
        )
    return curves


def _peak(task: _Task, *, of: Callable[[Figures], Complexes], scale: float, unit: str) -> Curve:
    value = math.sqrt(2) * scale * np.abs(of(task.found))
    relative, _ = task.doubts(of)
    return task.curve(
        value,
        unit=unit,
        uncertainty=None if relative is None else relative * value,
        how=f"peak, {task.drive.volts * task.louder:.4g} V",
    )


def _vent_flow(figures: Figures) -> Complexes:
    if figures.vent_flow is None:
        raise DspError("predict", "a closed box has no vent")
    return figures.vent_flow


def _numbers(task: _Task) -> dict[str, Number]:
    source_ohm = task.drive.source_ohm

    def corner(unit: BoxUnit, *, drop_db: float) -> float:
        return corner_hz(unit, box=task.box, air=task.air, drop_db=drop_db, source_ohm=source_ohm)

    return {
        "f3_hz": task.number(
            lambda unit: corner(unit, drop_db=HALF_POWER_DB), unit="Hz", how=f"−3 dB, {_BARE}"
        ),
        "f10_hz": task.number(
            lambda unit: corner(unit, drop_db=TENTH_DB), unit="Hz", how=f"−10 dB, {_BARE}"
        ),
        "peak_db": task.number(
            lambda unit: peak_db(unit, box=task.box, air=task.air, source_ohm=source_ohm),
            unit="dB",
            how=f"highest above the flat part, {_BARE}",
        ),
        "passband_db": _passband(task, volts=task.drive.volts),
        "passband_loud_db": _passband(task, volts=task.drive.volts * task.louder),
    }


def _passband(task: _Task, *, volts: float) -> Number:
    drive = task.drive

    def level(unit: BoxUnit) -> float:
        pascal = volts * passband_pa_per_v(unit, air=task.air, distance_m=drive.distance_m)
        lost = unit.re_ohm / (unit.re_ohm + drive.source_ohm)
        return 20 * math.log10(pascal * lost / REFERENCE_PA)

    how = f"flat part, {_BARE}, {volts:.4g} V, {drive.distance_m:g} m"
    return task.number(level, unit=UNIT, how=how)


def _system(task: _Task) -> dict[str, Number]:
    box, source_ohm = task.box, task.drive.source_ohm
    alpha = task.number(
        lambda unit: unit.vas_m3 / box.volume_m3, unit="1", how="Vas over the box's volume"
    )
    if isinstance(box, VentedBox):
        ratio = task.number(lambda unit: box.tuning_hz / unit.fs_hz, unit="1", how="fb over fs")
        return {"alpha": alpha, "tuning_ratio": ratio}
    return {
        "alpha": alpha,
        "fc_hz": task.number(
            lambda unit: closed_system(unit, box=box, source_ohm=source_ohm).fc_hz,
            unit="Hz",
            how="resonance in the box",
        ),
        "qtc": task.number(
            lambda unit: closed_system(unit, box=box, source_ohm=source_ohm).qtc,
            unit="1",
            how="total quality factor in the box",
        ),
    }


def _continuous(pressure: Complexes) -> Floats:
    phase = np.unwrap(np.angle(pressure))
    turns: Floats = np.degrees(phase - 2 * np.pi * np.round(np.median(phase) / (2 * np.pi)))
    return turns
