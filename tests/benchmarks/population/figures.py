"""What one simulated take tells of a unit, all of it, as findings need it."""

from dataclasses import dataclass

from app.measure.derive import derive
from app.measure.likes import Like
from tests.benchmarks.population.hall import Hall
from tests.benchmarks.population.recorded import recorded
from tests.benchmarks.population.simulate import simulate
from tests.benchmarks.population.specimen import Specimen
from tests.benchmarks.population.station import station

# What findings need of a curve; the rest of it would only be carried from one core to another.
_CURVES = ("level", "impedance")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Told:
    """One take of one specimen in one hall."""

    specimen: Specimen
    hall: Hall
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
            prepared=here.prepared,
        )
        like = Like(
            numbers=dict(derived.numbers),
            curves={name: derived.curves[name] for name in _CURVES if name in derived.curves},
        )
        out.append(Told(specimen=specimen, hall=hall, like=like))
    return tuple(out)
