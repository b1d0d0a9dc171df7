"""The whole population, simulated, and told apart: what the table is made of."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.measure.findings import CANNOT_TELL, findings
from app.measure.likes import Likes
from app.measure.usuals import usuals_of
from app.procedure.signatures import shipped_signatures
from app.records.take import Finding
from dsp.conformity.verdict import Verdict
from tests.benchmarks.population.figures import Told, told
from tests.benchmarks.population.hall import Hall
from tests.benchmarks.population.heard import Heard, heard
from tests.benchmarks.population.limits import score, usual_figures
from tests.benchmarks.population.roc import area_under_roc, smallest_found, threshold
from tests.benchmarks.population.specimen import CHAIN, IRREGULAR, REGULAR, Kind, Specimen
from tests.benchmarks.population.station import SWEEP, TONES
from tests.benchmarks.workers import Workers

HALLS = (
    Hall(noise_db_spl=45.0),
    Hall(noise_db_spl=60.0),
    Hall(noise_db_spl=75.0),
    Hall(noise_db_spl=60.0, clanks_per_s=1.0),
    Hall(noise_db_spl=60.0, clanks_per_s=1.0, second_microphone=True),
)
NAMED_IN = HALLS[1]
ALARMS_IN = (NAMED_IN, HALLS[3])
SEVERITIES = (0.05, 0.1, 0.2)
NAMED_AT = 0.1
FALSE_REJECTS = 0.001
_FAULTY_FROM = 100_000  # seeds of faulty units: none is a good one's twin


@dataclass(frozen=True, slots=True, kw_only=True)
class Detected:
    """One fault in one hall, by sweep and tones or by a sweep alone (``station``).

    Units are ranked by the limit that would just pass them (``limits.py``). ``area`` is that under
    ROC at ``NAMED_AT``, ``escapes`` the part not found there at ``FALSE_REJECTS``, ``smallest`` the
    least severity of which nine in ten are found.
    """

    kind: Kind
    hall: Hall
    station: str
    area: float
    escapes: float
    smallest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """What findings say first of units with one fault at ``NAMED_AT``, in ``NAMED_IN``."""

    kind: Kind
    units: int
    right: int
    wrong: int
    confidence: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FalseAlarms:
    """Good units, held out, in one hall: those with a finding though they break no limit."""

    hall: Hall
    units: int
    found: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """All of it; ``sureness`` are pairs of stated confidence and whether the cause was right."""

    detected: tuple[Detected, ...]
    named: tuple[Named, ...]
    alarms: tuple[FalseAlarms, ...]
    sureness: tuple[tuple[float, bool], ...]


def study(workers: Workers, *, good: int, faulty: int, named: int) -> Study:
    """Simulate a population and tell it apart.

    Parameters
    ----------
    workers : Workers
        Who simulate.
    good, faulty : int
        Good units, and units with each irregular fault at each severity, of which defects are
        read in every hall. Every take draws its own noise.
    named : int
        Units with each fault of which the cause is asked for; ten times as many good ones, half
        of which are the lot that they are held against.
    """
    takes = [one for of_one in workers.each(heard, _listened(good, faulty)) for one in of_one]
    detected = tuple(
        _detected(
            [one for one in takes if (one.station, one.hall) == (station, hall)],
            kind=kind,
            hall=hall,
            station=station,
        )
        for station in (TONES, SWEEP)
        for kind in IRREGULAR
        for hall in HALLS
    )
    told_all = [one for of_one in workers.each(told, _asked(named)) for one in of_one]
    in_hall = {hall: [one for one in told_all if one.hall == hall] for hall in ALARMS_IN}
    said = _said(in_hall[NAMED_IN])
    return Study(
        detected=detected,
        named=tuple(_named(said, kind=kind) for kind in (*IRREGULAR, *REGULAR, *CHAIN)),
        alarms=tuple(_alarms(takes, hall=hall) for hall, takes in in_hall.items()),
        sureness=tuple(
            (first.confidence, first.cause == one.specimen.cause) for one, first in said
        ),
    )


def _listened(good: int, faulty: int) -> list[tuple[Specimen, tuple[Hall, ...]]]:
    jobs: list[tuple[Specimen, tuple[Hall, ...]]] = [
        (Specimen(seed=seed), HALLS) for seed in range(good)
    ]
    return jobs + [
        (Specimen(kind=kind, severity=severity, seed=seed), HALLS)
        for kind in IRREGULAR
        for severity in SEVERITIES
        for seed in range(_FAULTY_FROM, _FAULTY_FROM + faulty)
    ]


def _asked(named: int) -> list[tuple[Specimen, tuple[Hall, ...]]]:
    seeds = range(_FAULTY_FROM, _FAULTY_FROM + named)
    jobs: list[tuple[Specimen, tuple[Hall, ...]]] = [
        (Specimen(seed=seed), ALARMS_IN) for seed in range(10 * named)
    ]
    jobs += [
        (Specimen(kind=kind, severity=NAMED_AT, seed=seed), (NAMED_IN,))
        for kind in (*IRREGULAR, *REGULAR)
        for seed in seeds
    ]
    return jobs + [
        (Specimen(kind=kind, seed=seed), (NAMED_IN,)) for kind in CHAIN for seed in seeds[:3]
    ]


def _detected(takes: Sequence[Heard], *, kind: Kind, hall: Hall, station: str) -> Detected:
    good = [one for one in takes if one.specimen.kind == "good"]
    usual = usual_figures(good)
    of_good = np.array([score(one, usual=usual) for one in good])
    limit = threshold(of_good, false_rejects=FALSE_REJECTS)
    by_severity = {
        severity: np.array(
            [
                score(one, usual=usual)
                for one in takes
                if one.specimen.kind == kind and one.specimen.severity == severity
            ]
        )
        for severity in SEVERITIES
    }
    found = {severity: float(np.mean(scores > limit)) for severity, scores in by_severity.items()}
    return Detected(
        kind=kind,
        hall=hall,
        station=station,
        area=area_under_roc(of_good, by_severity[NAMED_AT]),
        escapes=1 - found[NAMED_AT],
        smallest=smallest_found(found),
    )


def _halves(takes: Sequence[Told]) -> tuple[Likes, list[Told]]:
    good = [one for one in takes if one.specimen.kind == "good"]
    first = good[: len(good) // 2]
    lot = Likes(units=tuple(one.like for one in first), told=f"{len(first)} good units")
    return lot, good[len(good) // 2 :]


def _said(takes: Sequence[Told]) -> list[tuple[Told, Finding]]:
    # Of faulty units that break a limit, the first finding; of severity NAMED_AT, or of none.
    lot, _ = _halves(takes)
    signatures = shipped_signatures()
    usuals = usuals_of(lot, signatures=signatures)
    return [
        (
            one,
            findings(
                numbers=one.like.numbers,
                curves=one.like.curves,
                verdict=Verdict.DOES_NOT_CONFORM,
                usuals=usuals,
                signatures=signatures,
            )[0],
        )
        for one in takes
        if one.specimen.kind != "good" and one.specimen.severity in {0.0, NAMED_AT}
    ]


def _named(said: Sequence[tuple[Told, Finding]], *, kind: Kind) -> Named:
    own = [(one, first) for one, first in said if one.specimen.kind == kind]
    right = [first for one, first in own if first.cause == one.specimen.cause]
    unsaid = sum(first.cause == CANNOT_TELL for _, first in own)
    return Named(
        kind=kind,
        units=len(own),
        right=len(right),
        wrong=len(own) - len(right) - unsaid,
        confidence=float(np.mean([first.confidence for first in right])) if right else 0.0,
    )


def _alarms(takes: Sequence[Told], *, hall: Hall) -> FalseAlarms:
    lot, rest = _halves(takes)
    signatures = shipped_signatures()
    usuals = usuals_of(lot, signatures=signatures)
    found = [
        one
        for one in rest
        if findings(
            numbers=one.like.numbers,
            curves=one.like.curves,
            verdict=Verdict.NOT_JUDGED,
            usuals=usuals,
            signatures=signatures,
        )
    ]
    return FalseAlarms(hall=hall, units=len(rest), found=len(found))
