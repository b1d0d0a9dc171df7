"""A population of good and faulty units, told apart by their irregular defects."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.population.hall import Hall
from tests.benchmarks.population.heard import Heard, heard
from tests.benchmarks.population.limits import score, usual_figures
from tests.benchmarks.population.roc import area_under_roc, smallest_found, threshold
from tests.benchmarks.population.specimen import IRREGULAR, Kind, Specimen
from tests.benchmarks.population.station import SWEEP, TONES
from tests.benchmarks.workers import Workers

HALLS = (
    Hall(noise_db_spl=45.0),
    Hall(noise_db_spl=60.0),
    Hall(noise_db_spl=75.0),
    Hall(noise_db_spl=60.0, clanks_per_s=1.0),
    Hall(noise_db_spl=60.0, clanks_per_s=1.0, second_microphone=True),
)
SEVERITIES = (0.05, 0.1, 0.2)
AT = 0.1
FALSE_REJECTS = 0.001
_FAULTY_FROM = 100_000  # seeds of faulty units: none is a good one's twin


@dataclass(frozen=True, slots=True, kw_only=True)
class Detected:
    """One fault in one hall, by sweep and tones or by a sweep alone (``station``).

    Units are ranked by the limit that would just pass them (``limits.py``). ``area`` is that under
    ROC at ``AT``, ``escapes`` the part not found there at ``FALSE_REJECTS``, ``smallest`` the
    least severity of which nine in ten are found.
    """

    kind: Kind
    hall: Hall
    station: str
    area: float
    escapes: float
    smallest: float


def study(workers: Workers, *, good: int, faulty: int) -> tuple[Detected, ...]:
    """Simulate a population and tell it apart.

    Parameters
    ----------
    workers : Workers
        Who simulate.
    good, faulty : int
        Good units, and units with each fault at each severity. Each is taken once in every hall;
        every take draws its own noise.

    Returns
    -------
    tuple of Detected
    """
    takes = [one for of_one in workers.each(heard, _listened(good, faulty)) for one in of_one]
    return tuple(
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
        area=area_under_roc(of_good, by_severity[AT]),
        escapes=1 - found[AT],
        smallest=smallest_found(found),
    )
