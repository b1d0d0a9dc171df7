"""The study of findings counts rightly: with figures in closed form instead of recordings."""

from collections.abc import Callable, Iterable
from typing import Any

import pytest

from tests.app.measure.likely_units import like
from tests.benchmarks.population.figures import Told
from tests.benchmarks.population.findings_lines import LINES
from tests.benchmarks.population.findings_study import AT, TWO, FindingsStudy, findings_study
from tests.benchmarks.population.findings_tables import findings_tables
from tests.benchmarks.workers import Workers

HEARD_ONLY = {"coil rub", "loose joint", "particle in the gap", "air leak", "lead slap"}


class ClosedForm(Workers):
    """Tells of each unit what a perfect take would, of its movement."""

    def __init__(self) -> None:
        """Need no process."""

    def each(self, work: Callable[[Any], Any], jobs: Iterable[Any]) -> list[Any]:
        assert callable(work)
        out = []
        for specimen, (hall,) in jobs:
            unit = specimen.faulty.unit
            figures = like(unit, polarity=1.0 if unit.bl_tm > 0 else -1.0)
            out.append((Told(specimen=specimen, hall=hall, like=figures),))
        return out


@pytest.fixture(scope="module")
def study() -> FindingsStudy:
    return findings_study(ClosedForm(), lines=LINES[:2], units=1, good=4, seed=8_000_000)


def test_everyone_is_told_of(study: FindingsStudy) -> None:
    # 11 faults at the severity of the bar and 9 at others, three of the chain, on either line.
    assert len(study.one_fault) == 2 * (11 + 9 + 3)
    assert len(study.two_faults) == len(TWO)
    assert [(one.units, one.told) for one in study.good] == [(4, 0), (4, 0)]


def test_what_moves_otherwise_is_named_and_what_is_only_heard_is_not(study: FindingsStudy) -> None:
    ordinary = [one for one in study.one_fault if one.line == LINES[0]]
    reversed_ones = [one for one in ordinary if one.specimen.kind == "wiring reversed"]
    assert [one.right for one in reversed_ones] == [True]
    assert not [one for one in ordinary if one.right and one.specimen.kind in HEARD_ONLY]
    both = {(one.specimen.kind, one.specimen.second): one.both for one in study.two_faults}
    assert both["weak magnet", "soft suspension"]
    assert not both["loose joint", "air leak"]


def test_the_tables_say_the_same(study: FindingsStudy) -> None:
    said = findings_tables(study)
    ordinary = [one for one in study.one_fault if one.line == LINES[0]]
    right = sum(one.right for one in ordinary if one.specimen.severity == AT)
    assert "\nwiring reversed       1 of 1  100 %" in said
    assert f"\nall                   {right} of 14" in said
    assert "\nwide lot " in said
    assert f"\nall{' ' * 39}{sum(one.both for one in study.two_faults)} of {len(TWO)}" in said
