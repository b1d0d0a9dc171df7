"""Counts, yield, reference unit and the last units, as the operator sees them."""

from datetime import UTC, datetime

import pytest

from app.desktop.presenters.line_side import counts_state, last_units, reference_state
from app.desktop.presenters.mark import Mark
from app.records.counts import VerdictCounts
from app.records.find_takes import TakeSummary
from dsp.conformity.verdict import Verdict
from tests.app.desktop.measure import made

NOW = datetime(2026, 7, 29, 14, 36, tzinfo=UTC)


def summary(number: int, verdict: Verdict) -> TakeSummary:
    return TakeSummary(
        id=f"{number:032x}",
        number=number,
        unit=f"T4-W31-{number:04d}",
        lot="T4-W31",
        procedure="line check",
        procedure_sha256="0" * 64,
        started_utc=NOW,
        verdict=verdict,
        warnings=(),
        derived_from=None,
    )


@pytest.mark.parametrize(
    ("counts", "fact"),
    [
        (VerdictCounts(conforms=97, does_not_conform=4, not_decided=1), "yield 95.1 %"),
        (VerdictCounts(conforms=2, does_not_conform=1), "yield 67 %"),
        (VerdictCounts(conforms=1, does_not_conform=1, not_judged=98), "yield 50 %"),
        (VerdictCounts(not_judged=7), "no yield: none judged"),
        (VerdictCounts(), "no unit yet"),
    ],
)
def test_the_yield_is_told_as_finely_as_the_lot_is_large(counts: VerdictCounts, fact: str) -> None:
    assert counts_state(counts, lot="T4-W31").fact == fact


def test_every_verdict_has_its_row() -> None:
    state = counts_state(VerdictCounts(conforms=97, does_not_conform=4, not_decided=1), lot=None)
    assert state.title == "Today, no lot"
    assert [(row.mark, row.word, row.count) for row in state.rows] == [
        (Mark.GOOD, "conforms", "97"),
        (Mark.BAD, "does not conform", "4"),
        (Mark.UNDECIDED, "not decided", "1"),
    ]
    bare = counts_state(VerdictCounts(conforms=97, not_judged=2), lot=None).rows[-1]
    assert (bare.mark, bare.word, bare.count) == (Mark.NONE, "not judged", "2")


def test_the_newest_unit_stands_last_and_no_more_than_24() -> None:
    newest_first = [summary(number, Verdict.CONFORMS) for number in range(40, 0, -1)]
    units = last_units(newest_first)
    assert len(units) == 24
    assert units[-1].words == "T4-W31-0040, take 40: conforms"


def test_a_reference_is_asked_for_only_where_a_mask_counts_from_it() -> None:
    procedure = made.good().take.procedure
    assert not reference_state(None, procedure=procedure, now=NOW).needed
    level = procedure.masks["level"].model_copy(update={"relative_to": "reference"})
    relative = procedure.model_copy(update={"masks": {**procedure.masks, "level": level}})
    missing = reference_state(None, procedure=relative, now=NOW)
    assert missing.needed
    assert missing.mark is Mark.CAUTION
    there = reference_state(made.good().take, procedure=relative, now=NOW)
    assert (there.unit, there.mark) == ("T4-W31-0417", Mark.GOOD)
