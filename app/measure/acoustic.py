"""Level, phase, delay, polarity and sensitivity of a capture that has a microphone."""

import math
from dataclasses import replace

import numpy as np

from app.measure.areas import geometry_of
from app.measure.drive_level import stated_v_rms
from app.measure.found import Found
from app.measure.scene import Scene
from app.measure.surroundings import NO_AREA, air_of, placed, radiator_of
from dsp import Curve, Number, ValidRange
from dsp.acoustic.delay import ExcessDelay, excess_delay, level_phase
from dsp.acoustic.level import level
from dsp.acoustic.polarity import polarity
from dsp.acoustic.sensitivity import reference_voltage, sensitivity
from dsp.near_field.scale import far_level
from dsp.response.harmonics import Harmonics
from dsp.response.smooth import smooth
from hardware.chain.budget import Budget, level_budget

NOISE_ALONE = "the interval covers noise alone"
_NO_CLOCK = "no channel tells when the output played"


def acoustic(scene: Scene) -> Found:
    """Derive what the pressure tells, referred to the voltage across the unit."""
    pressure = scene.pressure
    if pressure is None:
        return Found()
    valid = placed(
        scene.valid_for(pressure, acoustic=True),
        geometry=geometry_of(scene.procedure),
        ambient=scene.chain.chain.ambient,
    )
    budget = level_budget(scene.chain.chain)
    response = _level(scene, pressure=pressure, valid=valid, budget=budget)
    excess = _excess(scene, pressure=pressure, valid=valid)
    delay = _delay(scene, found=excess.delay)
    phase = level_phase(
        pressure,
        voltage=scene.terminals.voltage,
        delay_s=delay.value,
        valid=valid,
        alignment_s=scene.terminals.alignment_s,
    )
    if scene.microphone is not None and scene.microphone.phase_deg is None:
        phase = replace(phase, how="with the microphone's own phase, of which its table tells none")
    return Found(
        curves={"level": response, "level_phase": phase},
        numbers={
            "sensitivity_db": _sensitivity(scene, response=response, budget=budget),
            "polarity": polarity(
                pressure,
                voltage=scene.terminals.voltage,
                current=scene.terminals.current,
                delay_s=delay.value if delay.trusted else None,
                excess=excess,
            ),
            "delay_s": delay,
        },
        warnings=_warnings(scene, valid=valid),
    )


def _warnings(scene: Scene, *, valid: ValidRange) -> tuple[str, ...]:
    geometry, said = geometry_of(scene.procedure), []
    if not valid.low_hz < valid.high_hz:
        said.append("level: nothing stands above the noise")
    if geometry.mounting == "near_field" and geometry.radiator_cm2 is None:
        said.append(NO_AREA)
    return tuple(said)


def _level(scene: Scene, *, pressure: Harmonics, valid: ValidRange, budget: Budget) -> Curve:
    geometry = geometry_of(scene.procedure)
    radiator = radiator_of(geometry)
    curve = level(
        pressure,
        voltage=scene.terminals.voltage,
        reference_v=reference_v(scene),
        # A near field is referred by its radiator below, not by 1/r.
        distance_m=geometry.reference_distance_m if radiator else geometry.distance_m,
        reference_distance_m=geometry.reference_distance_m,
        valid=valid,
        chain_db=_chain_db(scene, budget=budget),
    )
    if radiator is not None:
        curve = far_level(
            curve,
            radiator=radiator,
            distance_m=geometry.reference_distance_m,
            air=air_of(scene.chain.chain.ambient),
        )
    if budget.states_none:
        curve = replace(curve, how=f"{curve.how}; {NOISE_ALONE}")
    width = scene.procedure.quantities.level.smoothing_per_octave
    return smooth(curve, per_octave=width) if width else curve


def reference_v(scene: Scene) -> float:
    """Return the voltage across the terminals that the level is stated for, V rms."""
    stated = stated_v_rms(scene.procedure, chain=scene.chain.chain)
    if stated is not None:
        return stated
    return float(np.sqrt(np.mean(np.abs(scene.terminals.voltage.fundamental) ** 2)))


def _chain_db(scene: Scene, *, budget: Budget) -> float:
    geometry = geometry_of(scene.procedure)
    if radiator_of(geometry) is not None:
        return budget.standard_uncertainty
    # dB for a relative error of the distance, which scales the level by 1/r.
    placed = 20 / math.log(10) * geometry.distance_uncertainty_m / 2 / geometry.distance_m
    return math.hypot(budget.standard_uncertainty, placed)


def _excess(scene: Scene, *, pressure: Harmonics, valid: ValidRange) -> ExcessDelay:
    with np.errstate(divide="ignore", invalid="ignore"):
        per_volt = pressure.fundamental / scene.terminals.voltage.fundamental
    held = np.where(valid.holds(pressure.frequency_hz), per_volt, np.nan)
    return excess_delay(held, frequency_hz=pressure.frequency_hz)


def _delay(scene: Scene, *, found: Number) -> Number:
    stated = scene.procedure.geometry.delay_s
    if stated is not None:
        return Number(value=stated, unit="s", uncertainty=0.0, how="stated by the procedure")
    if math.isnan(found.value):
        return replace(found, value=0.0)  # phases are then shown as they are
    source = scene.recording.latency_source
    if source == "onset":
        return replace(found, reason=_NO_CLOCK)
    aligned = 2 * scene.terminals.alignment_s
    return replace(
        found,
        uncertainty=math.hypot(found.uncertainty or 0.0, aligned),
        how=f"{found.how}; counted from the output by the {source}",
    )


def _sensitivity(scene: Scene, *, response: Curve, budget: Budget) -> Number:
    asked = scene.procedure.quantities.sensitivity
    reference = reference_voltage(
        asked.reference, nominal_ohm=scene.chain.chain.output.drive.nominal_ohm
    )
    number = sensitivity(
        response,
        level_v=reference_v(scene),
        level_distance_m=scene.procedure.geometry.reference_distance_m,
        reference_v=reference,
        at_hz=asked.at_hz,
        band_hz=asked.band_hz,
        chain_db=_chain_db(scene, budget=budget),
    )
    if budget.states_none:
        return replace(number, how=f"{number.how}; {NOISE_ALONE}")
    return number
