"""What one simulated take tells of irregular defects, and nothing else: several times quicker."""

import math
from dataclasses import dataclass

import numpy as np

from app.measure.answers import answers
from app.measure.found import Found
from app.measure.irregular import read_irregular, told
from dsp import Curve, Floats
from dsp.response.recording import Recording
from tests.benchmarks.population.hall import Hall, surroundings, unit_in_hall
from tests.benchmarks.population.simulate import simulate
from tests.benchmarks.population.specimen import Specimen
from tests.benchmarks.population.station import RATE_HZ, SWEEP, TONES, Station, station

_STROKE_HZ = (40.0, 200.0)  # of a sweep: where the cone moves far
_JUDGED = ("impulse_count", "noise_modulation")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One figure; ``is_bound``: noise hides it, and it is at most this."""

    value: float
    is_bound: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Heard:
    """One take of one specimen in one hall: the figures that limits are set to, larger is worse."""

    specimen: Specimen
    hall: Hall
    station: str
    figures: dict[str, Shown]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Listened:
    """What a take states of irregular defects, and whether something else disturbed it."""

    found: Found
    disturbed: bool


def listen(pressure_pa: Floats, *, hall: Hall, seed: int, at: Station) -> Listened:
    """Take what a unit sounds like in a hall through the analysis of irregular defects.

    By the same functions as a whole take; what is left out is the converters' noise, start and
    clock, and of a procedure with tones the sweep, which its figures of defects do not stand on.
    """
    about = surroundings(hall, samples=pressure_pa.size, seed=seed)
    recording = Recording(
        sample_rate_hz=RATE_HZ,
        pressure_pa=pressure_pa + about.at_unit_pa,
        current_a=None,
        terminal_v=None,
        loopback_v=None,
        ambient_pa=None
        if about.in_hall_pa is None
        else about.in_hall_pa + unit_in_hall(pressure_pa),
    )
    read = answers(recording, plan=at.prepared) if at.name == SWEEP else None
    reading = read_irregular(recording, rest=read.rest if read else None, excitation=at.excitation)
    assert reading is not None
    return Listened(found=told(reading, ratio_db=0.0), disturbed=bool(reading.disturbed))


def heard(job: tuple[Specimen, tuple[Hall, ...]]) -> tuple[Heard, ...]:
    """Play sweep and tones, and a sweep alone, once each; listen in each hall."""
    specimen, halls = job
    out = []
    for name in (TONES, SWEEP):
        here = station(name)
        pressure_pa = simulate(specimen, at=here).pressure_pa
        for number, hall in enumerate(halls):
            listened = listen(pressure_pa, hall=hall, seed=10 * specimen.seed + number, at=here)
            out.append(
                Heard(
                    specimen=specimen,
                    hall=hall,
                    station=name,
                    figures=_figures(listened.found),
                )
            )
    return tuple(out)


def _figures(found: Found) -> dict[str, Shown]:
    numbers = {name: found.numbers[name] for name in _JUDGED if name in found.numbers}
    shown = {
        name: Shown(value=number.value, is_bound=number.is_bound)
        for name, number in numbers.items()
    }
    for name in ("rub_buzz", "residual", "residual_peak"):
        if name in found.curves:
            shown |= _points(name, found.curves[name])
    return shown


def _points(name: str, curve: Curve) -> dict[str, Shown]:
    low, high = _STROKE_HZ
    bound = np.zeros(curve.value.size, dtype=bool) if curve.is_bound is None else curve.is_bound
    return {
        f"{name} {hz:.1f}": Shown(value=float(value), is_bound=bool(hidden))
        for hz, value, hidden in zip(curve.frequency_hz, curve.value, bound, strict=True)
        if low <= hz <= high and math.isfinite(value)
    }
