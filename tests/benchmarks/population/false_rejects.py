"""Good units in thousands, and some with each fault, judged and made again as the line does."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp import Number
from dsp.conformity.judge import judge_curve, judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict, overall
from dsp.statistics.centre import centre
from dsp.statistics.tolerance import sigma_limits
from tests.benchmarks.population.hall import Hall
from tests.benchmarks.population.heard import Listened, listen
from tests.benchmarks.population.simulate import simulate
from tests.benchmarks.population.specimen import IRREGULAR, Specimen
from tests.benchmarks.population.station import station
from tests.benchmarks.workers import Workers

STEADY, CLANKS = Hall(noise_db_spl=60.0), Hall(noise_db_spl=60.0, clanks_per_s=1.0)
HALLS = (
    STEADY,
    CLANKS,
    Hall(noise_db_spl=60.0, second_microphone=True),
    Hall(noise_db_spl=60.0, clanks_per_s=1.0, second_microphone=True),
)
LEARNT_FROM = 100  # units, each once in steady noise
_SIGMAS = 4.0
TAKES_A_UNIT = 5
_AT = 0.1  # severity
_FIRST, _FIRST_LEARNT, _FIRST_FAULTY = 1_000_000, 2_000_000, 3_000_000
_SPOILS = frozenset({Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED})
Limits = tuple[tuple[str, MaskLines], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One unit that is tested some times in each hall."""

    specimen: Specimen
    takes: int
    limits: Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One unit tested once in one hall: the verdict of the first take, and that which stands."""

    specimen: Specimen
    hall: Hall
    first: Verdict
    last: Verdict
    remade: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Rejects:
    """Of one kind in one hall: how many tests, and how they ended.

    ``at_first`` is what would have been rejected without making disturbed takes again.
    """

    kind: str
    hall: Hall
    tests: int
    at_first: int
    rejected: int
    undecided: int
    remade: int


def false_rejects(workers: Workers, *, tests: int) -> tuple[Rejects, ...]:
    """Test good units so often in each hall, and a twentieth as many with each irregular fault.

    Every test draws its own noise and clanks, for every take; a unit is tested five times in each
    hall, so that a fifth as many units are drawn from the lot.
    """
    limits = drawn_limits(workers.each(_learnt, range(_FIRST_LEARNT, _FIRST_LEARNT + LEARNT_FROM)))
    good = -(-tests // TAKES_A_UNIT)
    jobs = [
        Job(specimen=Specimen(seed=_FIRST + seed), takes=TAKES_A_UNIT, limits=limits)
        for seed in range(good)
    ]
    jobs += [
        Job(
            specimen=Specimen(kind=kind, severity=_AT, seed=_FIRST_FAULTY + seed),
            takes=1,
            limits=limits,
        )
        for kind in IRREGULAR
        for seed in range(-(-tests // 20))
    ]
    judged = [one for of_unit in workers.each(tested, jobs) for one in of_unit]
    return tuple(
        _counted([one for one in judged if (one.specimen.kind, one.hall) == (kind, hall)])
        for kind in ("good", *IRREGULAR)
        for hall in HALLS
    )


def drawn_limits(learnt: Sequence[Listened]) -> Limits:
    """Draw the limits of the procedure: on rub and buzz for this hall, the others as they ship.

    Rub and buzz as Limits proposes from units: mean + 4 standard deviations, tone by tone.
    """
    curves = [one.found.curves["rub_buzz"] for one in learnt]
    upper = sigma_limits(centre(np.stack([curve.value for curve in curves])), k=_SIGMAS).upper
    masks = station().procedure.procedure.masks
    hz = curves[0].frequency_hz.tolist()
    return (
        ("rub_buzz", MaskLines(upper=tuple(zip(hz, upper.tolist(), strict=True)))),
        *((masks[name].quantity, MaskLines(upper=masks[name].upper)) for name in _AS_SHIPPED),
    )


_AS_SHIPPED = ("particles", "leak")


def tested(job: Job) -> tuple[Judged, ...]:
    """Simulate a unit once and test it in each hall; a disturbed take is made again."""
    pressure_pa = simulate(job.specimen).pressure_pa
    most = station().procedure.procedure.quantities.defects.retakes
    out = []
    for number, hall in enumerate(HALLS):
        for test in range(job.takes):
            verdicts = []
            for take in range(most + 1):
                seed = ((job.specimen.seed * 10 + number) * 10 + test) * 10 + take
                listened = listen(pressure_pa, hall=hall, seed=seed, at=station())
                verdicts.append(verdict(listened, limits=job.limits))
                if not listened.disturbed or verdicts[-1] not in _SPOILS:
                    break
            out.append(
                Judged(
                    specimen=job.specimen,
                    hall=hall,
                    first=verdicts[0],
                    last=verdicts[-1],
                    remade=len(verdicts) - 1,
                )
            )
    return tuple(out)


def verdict(listened: Listened, *, limits: Limits) -> Verdict:
    """Judge one take by the rule of every verdict."""
    found, verdicts = listened.found, []
    for name, lines in limits:
        if name in found.curves:
            verdicts.append(judge_curve(found.curves[name], mask=lines).verdict)
        else:
            verdicts.append(judge_number(found.numbers.get(name, _NONE), mask=lines).verdict)
    return overall(verdicts)


_NONE = Number(value=float("nan"), unit="1", how="not measured")


def _learnt(seed: int) -> Listened:
    here = station()
    return listen(simulate(Specimen(seed=seed)).pressure_pa, hall=STEADY, seed=seed, at=here)


def _counted(judged: Sequence[Judged]) -> Rejects:
    return Rejects(
        kind=judged[0].specimen.kind,
        hall=judged[0].hall,
        tests=len(judged),
        at_first=sum(one.first is Verdict.DOES_NOT_CONFORM for one in judged),
        rejected=sum(one.last is Verdict.DOES_NOT_CONFORM for one in judged),
        undecided=sum(one.last is Verdict.NOT_DECIDED for one in judged),
        remade=sum(one.remade for one in judged),
    )
