"""Electro-mechanical parameters of a capture: what its current tells, and what a scale adds."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from app.measure.acoustic import NOISE_ALONE
from app.measure.areas import area_of
from app.measure.found import Found
from app.measure.lumped import fit_measured, measured_of
from app.measure.scene import Scene
from app.measure.second import ADDED_MASS, CLOSED_BOX, Second
from app.procedure.names import NUMBERS
from app.procedure.schema import Parameters
from dsp import DspError, Number
from dsp.parameters.estimates import UNITS, Estimates
from dsp.parameters.fit import LumpedFit
from dsp.parameters.methods import added_mass, closed_box, known_mass
from dsp.parameters.one_take import PressurePerCurrent, one_take
from dsp.parameters.readings import FEWEST_POINTS
from dsp.parameters.small_signal import SMALL_SIGNAL, small_signal
from dsp.parameters.surroundings import Known, Surroundings, known_air
from hardware.chain.budget import impedance_budget, pressure_budget

_DB = 20 / math.log(10)


def parameters(scene: Scene) -> Found:
    """Derive resistance, resonance and damping; masses and forces where a scale is known."""
    found = measured_of(scene)
    if found is None or np.count_nonzero(np.isfinite(found.impedance.value)) < FEWEST_POINTS:
        return Found()  # a few tones ask for no model
    try:
        fit = fit_measured(found)
    except DspError as cause:
        return Found(numbers=_untold(cause))
    asked = scene.procedure.quantities.parameters
    told = [doubt.reason for doubt in fit.doubts if not (doubt.everything or doubt.about)]
    told += [NOISE_ALONE] if impedance_budget(scene.chain.chain).states_none else []
    warnings = []
    scaled = _Scaled(figures=small_signal(fit, le_hz=asked.le_hz))
    try:
        scaled = _scaled(scene, fit=fit, asked=asked) or scaled
    except DspError as cause:
        warnings.append(f"parameters: {cause}")
    return Found(
        numbers={
            name: replace(number, how="; ".join([number.how, *scaled.words(name), *told]))
            for name, number in scaled.figures.numbers().items()
            if name in NUMBERS
        },
        warnings=tuple(warnings),
        model=fit,
        rests_on=scaled.rests_on,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Scaled:
    figures: Estimates
    by: str = ""  # what is to be said of the scale
    rests_on: Mapping[str, str] = field(default_factory=dict)

    def words(self, name: str) -> list[str]:
        return [self.by] if self.by and name not in SMALL_SIGNAL else []


def _untold(cause: DspError) -> dict[str, Number]:
    given = f": {cause.given}" if cause.given is not None else ""
    return {
        name: Number(value=math.nan, unit=UNITS[name], reason=f"{cause.what}{given}")
        for name in SMALL_SIGNAL
        if name in NUMBERS
    }


def _scaled(scene: Scene, *, fit: LumpedFit, asked: Parameters) -> _Scaled | None:
    place = surroundings_of(scene, area=area_of(scene.procedure))
    if asked.second_take is not None:
        return _by_second(scene.second, fit=fit, asked=asked, place=place)
    if asked.mms_g is not None:
        mass = Known.stated(1e-3 * asked.mms_g, percent=asked.mms_uncertainty_percent)
        return _Scaled(
            figures=known_mass(fit, mms_kg=mass, surroundings=place, le_hz=asked.le_hz),
            by=f"mass from {asked.mms_from}" if asked.mms_from else "",
        )
    heard = heard_of(scene)
    if heard is None or place.sd_m2 is None:
        return None
    return _Scaled(figures=one_take(fit, heard=heard, surroundings=place, le_hz=asked.le_hz))


def _by_second(
    second: Second | None, *, fit: LumpedFit, asked: Parameters, place: Surroundings
) -> _Scaled:
    if second is None or second.fit is None:
        refusal = "not at hand" if second is None else second.refusal
        raise DspError("second take", refusal, given=asked.second_take)
    if asked.added_mass_g is not None:
        mass = Known.stated(1e-3 * asked.added_mass_g, percent=asked.added_mass_uncertainty_percent)
        gave = ADDED_MASS
        figures = added_mass(
            fit, loaded=second.fit, mass_kg=mass, surroundings=place, le_hz=asked.le_hz
        )
    else:
        volume = Known.stated(1e-3 * (asked.box_l or 0.0), percent=asked.box_uncertainty_percent)
        gave = CLOSED_BOX
        figures = closed_box(
            fit, boxed=second.fit, volume_m3=volume, surroundings=place, le_hz=asked.le_hz
        )
    return _Scaled(
        figures=figures, by=f"in take {second.take_id[:8]}", rests_on={gave: second.take_id}
    )


def surroundings_of(scene: Scene, *, area: Known | None) -> Surroundings:
    """Return where the unit moves: its area, m2, and the air that the chain states."""
    ambient = scene.chain.chain.ambient
    return Surroundings(
        air=known_air(
            temperature_c=ambient.temperature_c,
            pressure_kpa=ambient.pressure_kpa,
            humidity_percent=ambient.humidity_percent,
        ),
        sd_m2=area,
        mounting="baffle" if scene.procedure.geometry.mounting == "baffle" else "free",
    )


def heard_of(scene: Scene) -> PressurePerCurrent | None:
    """Return the pressure per ampere; None where the geometry gives no absolute figure."""
    pressure, current = scene.pressure, scene.terminals.current
    geometry = scene.procedure.geometry
    if pressure is None or current is None:
        return None
    if geometry.mounting not in {"baffle", "near_field"}:
        return None  # neither half space nor right before the cone
    with np.errstate(divide="ignore", invalid="ignore"):
        per_ampere = np.abs(pressure.fundamental / current.fundamental)
        noise = np.hypot(
            pressure.noise[0] / np.abs(pressure.fundamental),
            current.noise[0] / np.abs(current.fundamental),
        )
    holds = scene.valid_for(pressure, acoustic=True).holds(pressure.frequency_hz)
    return PressurePerCurrent(
        frequency_hz=pressure.frequency_hz,
        pa_per_a=np.where(holds, per_ampere, np.nan),
        relative_noise=noise,
        # The current's own scale is the impedance's, too: in Bl, Res over p/I, it cancels, and in
        # what follows it counts once, with the impedance.
        relative_chain=pressure_budget(scene.chain.chain).standard_uncertainty / _DB,
        distance_m=Known(value=geometry.distance_m, standard=geometry.distance_uncertainty_m / 2),
        place="near field" if geometry.mounting == "near_field" else "half space",
    )
