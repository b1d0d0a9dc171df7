"""What one simulated take tells: its figures, and what a sweep alone would have told."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from app.measure.answers import Plan
from app.measure.derive import derive, prepare
from app.measure.derived import Derived
from app.measure.likes import Like
from dsp.defects.sweep_defects import SweepDefects
from tests.benchmarks.population.hall import Hall
from tests.benchmarks.population.recorded import recorded
from tests.benchmarks.population.simulate import simulate
from tests.benchmarks.population.specimen import Specimen
from tests.benchmarks.population.station import station

OF_TONES = (
    "rub_buzz_db",
    "rub_buzz_high_order_db",
    "random_noise_db",
    "noise_modulation",
    "impulse_count",
)
OF_SWEEP = ("sweep_level_db", "sweep_peak_db", "sweep_impulses")
# What findings need of a curve; the rest of it would only be carried from one core to another.
_CURVES = ("level", "impedance")
_STROKE_HZ = (40.0, 200.0)  # where the cone moves far


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Told:
    """One take of one specimen in one hall; ``figures`` by the names above, larger is worse."""

    specimen: Specimen
    hall: Hall
    figures: dict[str, float]
    like: Like


def told(job: tuple[Specimen, tuple[Hall, ...]]) -> tuple[Told, ...]:
    """Play once, and record and derive what is heard in each hall."""
    specimen, halls = job
    played, here = simulate(specimen), station()
    hears = specimen.kind != "microphone missing"
    out = []
    for number, hall in enumerate(halls):
        seed = 10 * specimen.seed + number
        derived = derive(
            recorded(played, hall=hall, seed=seed, hears=hears),
            procedure=here.procedure,
            chain=here.chain_with_ambient if hall.second_microphone else here.chain,
            excitation=here.excitation,
            prepared=_prepared(),
        )
        like = Like(
            numbers=dict(derived.numbers),
            curves={name: derived.curves[name] for name in _CURVES if name in derived.curves},
        )
        out.append(Told(specimen=specimen, hall=hall, figures=_figures(derived), like=like))
    return tuple(out)


@cache
def _prepared() -> Plan:
    return prepare(station().procedure, excitation=station().excitation)


def _figures(derived: Derived) -> dict[str, float]:
    found = {name: derived.numbers[name].value for name in OF_TONES if name in derived.numbers}
    sweep = derived.defects.sweep if derived.defects else None
    return found | (_of_sweep(sweep) if sweep else {})


def _of_sweep(sweep: SweepDefects) -> dict[str, float]:
    low, high = _STROKE_HZ
    far = (sweep.frequency_hz >= low) & (sweep.frequency_hz <= high)
    return {
        "sweep_level_db": _largest(sweep.level_db[far]),
        "sweep_peak_db": _largest(sweep.peak_db[far]),
        "sweep_impulses": float(sweep.impulses.short_count),
    }


def _largest(values: np.ndarray) -> float:
    known = values[np.isfinite(values)]
    return float(known.max()) if known.size else -200.0
