"""How often findings are right: units of lines that differ, each with one fault or with two."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.measure.findings import findings
from app.measure.likes import Likes
from app.measure.usuals import Usuals, usuals_of
from app.procedure.signatures import shipped_signatures
from app.records.take import Finding
from dsp.conformity.verdict import Verdict
from tests.benchmarks.population.figures import Told, told
from tests.benchmarks.population.findings_lines import LINES, ORDINARY, Line
from tests.benchmarks.population.specimen import CHAIN, IRREGULAR, REGULAR, Kind, Specimen
from tests.benchmarks.workers import Workers

AT = 0.1  # the severity of which nine causes in ten are to be named first
_DRAWN = (0.05, 0.4)  # severities of all others, evenly in their logarithm
_LOT = 25  # good units that a take is compared with
TWO_AT = 0.2
TWO: tuple[tuple[Kind, Kind], ...] = (
    ("weak magnet", "soft suspension"),
    ("weak magnet", "moving mass off"),
    ("stiff suspension", "moving mass off"),
    ("weak magnet", "coil rub"),
    ("soft suspension", "air leak"),
    ("moving mass off", "loose joint"),
    ("stiff suspension", "particle in the gap"),
    ("weak magnet", "lead slap"),
    ("coil rub", "particle in the gap"),
    ("loose joint", "air leak"),
    ("wiring reversed", "weak magnet"),
    ("wiring reversed", "coil rub"),
)
_FAULTY_FROM, _TWO_FROM = 500_000, 900_000  # beyond the first seed: none is a good one's twin


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What findings said of one faulty unit of a line, the likeliest first."""

    line: Line
    specimen: Specimen
    findings: tuple[Finding, ...]

    @property
    def right(self) -> bool:
        """Whether the first cause is the one that was put in."""
        return self.findings[0].cause == self.specimen.cause

    @property
    def both(self) -> bool:
        """Whether the first two causes are the two that were put in."""
        put_in = {self.specimen.kind, self.specimen.second}
        return {one.cause for one in self.findings[:2]} == put_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """Good units of a line that break no limit, and of how many something was said all the same."""

    line: Line
    units: int
    told: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsStudy:
    """Of units with one fault and with two what was said; of good ones how often."""

    one_fault: tuple[Said, ...]
    two_faults: tuple[Said, ...]
    good: tuple[Silence, ...]


def findings_study(
    workers: Workers, *, lines: Sequence[Line] = LINES, units: int, good: int, seed: int
) -> FindingsStudy:
    """Simulate lines and let findings tell.

    Parameters
    ----------
    workers : Workers
        Who simulates.
    lines : sequence of Line
        On which lines.
    units : int
        Of each fault at severity ``AT``, as many of drawn severities, and of each two faults.
    good : int
        Good units of a line beside those that takes are compared with.
    seed : int
        Where to begin: signatures were set with seeds from 3 000 000.

    Returns
    -------
    FindingsStudy
    """
    one_fault: list[Said] = []
    two_faults: list[Said] = []
    silent: list[Silence] = []
    for line in lines:
        everyone = [*_good(line, count=good, seed=seed), *_one(line, count=units, seed=seed)]
        two = _two(line, count=units, seed=seed) if line == ORDINARY else []
        takes = [
            one
            for of_one in workers.each(told, [(who, (line.hall,)) for who in [*everyone, *two]])
            for one in of_one
        ]
        lot = Likes(units=tuple(one.like for one in takes[:_LOT]), told=f"{_LOT} good units")
        usuals = usuals_of(lot, signatures=shipped_signatures())
        rest = takes[_LOT : _LOT + good]
        silent.append(
            Silence(
                line=line,
                units=good,
                told=sum(bool(_of(one, usuals=usuals, fails=False)) for one in rest),
            )
        )
        for one in takes[_LOT + good :]:
            said = Said(
                line=line, specimen=one.specimen, findings=_of(one, usuals=usuals, fails=True)
            )
            (one_fault if one.specimen.second is None else two_faults).append(said)
    return FindingsStudy(
        one_fault=tuple(one_fault), two_faults=tuple(two_faults), good=tuple(silent)
    )


def _of(one: Told, *, usuals: Usuals, fails: bool) -> tuple[Finding, ...]:
    return findings(
        numbers=one.like.numbers,
        curves=one.like.curves,
        verdict=Verdict.DOES_NOT_CONFORM if fails else Verdict.CONFORMS,
        usuals=usuals,
        signatures=shipped_signatures(),
    )


def _good(line: Line, *, count: int, seed: int) -> list[Specimen]:
    return [
        Specimen(seed=seed + n, drawing=line.drawing, spread=line.spread)
        for n in range(_LOT + count)
    ]


def _one(line: Line, *, count: int, seed: int) -> list[Specimen]:
    low, high = _DRAWN
    drawn = np.random.default_rng([seed, 1]).random(100 * count)
    severities = iter((low * (high / low) ** drawn).tolist())
    faults: list[tuple[Kind, float]] = []
    for kind in (*IRREGULAR, *REGULAR):
        faults += [(kind, AT)] * count
        if kind not in {"wiring reversed", "wrong unit"}:  # of these there is no more or less
            faults += [(kind, next(severities)) for _ in range(count)]
    faults += [(kind, AT) for kind in CHAIN]
    return [
        Specimen(
            kind=kind,
            severity=severity,
            seed=seed + _FAULTY_FROM + n,
            drawing=line.drawing,
            spread=line.spread,
        )
        for n, (kind, severity) in enumerate(faults)
    ]


def _two(line: Line, *, count: int, seed: int) -> list[Specimen]:
    return [
        Specimen(
            kind=first,
            second=second,
            severity=TWO_AT,
            seed=seed + _TWO_FROM + n,
            drawing=line.drawing,
            spread=line.spread,
        )
        for n, (first, second) in enumerate(pair for pair in TWO for _ in range(count))
    ]


def told_first(said: Sequence[Said]) -> dict[str, int]:
    """Count which cause was said first, the most frequent first."""
    causes = [one.findings[0].cause for one in said]
    return {cause: causes.count(cause) for cause in sorted({*causes}, key=causes.count)[::-1]}
