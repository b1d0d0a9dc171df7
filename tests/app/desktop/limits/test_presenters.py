"""Words and figures of the Limits bay: what happened, what it costs, how it is written."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from app.desktop.presenters.limits_figures import held_as, limit_text, margin_text, mask_title
from app.desktop.presenters.limits_new import checked_name, free_name, usual_sides
from app.desktop.presenters.limits_note import point_note
from app.desktop.presenters.limits_point import Chosen, point_state
from app.desktop.presenters.limits_revisions import revisions_state
from app.desktop.presenters.limits_trial import percent, trial_state
from app.desktop.presenters.limits_typed import typed_figure
from app.desktop.presenters.limits_values import values_state
from app.desktop.presenters.limits_words import Standing, words_of_limits
from app.desktop.presenters.mark import Mark
from app.measure.compare_trials import Comparison, compare
from app.measure.in_force import InForce
from app.measure.rejudge import rejudge
from app.measure.trial import Trial
from app.procedure.edit_masks import EditRefusedError, offset, set_value
from app.procedure.mask_schema import Mask
from app.records.limit_revisions import LimitRevision
from tests.app.measure.trial_store import PROCEDURE, trial_of, twenty_units

LEVEL = PROCEDURE.masks["level"]
DAY = datetime(2031, 3, 3, 12, tzinfo=UTC)
RETIRED = LimitRevision(
    set_name="p",
    number=1,
    masks=PROCEDURE.masks,
    sha256="",
    by="QC lead",
    why="a start",
    at_utc=DAY,
    state="retired",
    retired_by="QA",
    retired_why="too wide",
    retired_utc=DAY,
)
UNSAVED = Standing(
    on_bench=None,
    is_other=True,
    runs=False,
    now_name="revision 1",
    bench_name="the draft",
    next_number=2,
)
RELATIVE = LEVEL.model_copy(update={"relative_to": "reference", "align": "level"})


@pytest.fixture
def trial(tmp_path: Path) -> Iterator[Trial]:
    with twenty_units(tmp_path) as store:
        yield trial_of(store, PROCEDURE)


def drafted(trial: Trial, **masks: Mask) -> Comparison:
    now = rejudge(trial, masks=PROCEDURE.masks)
    return compare(trial, now=now, draft=rejudge(trial, masks={**PROCEDURE.masks, **masks}))


@pytest.mark.parametrize(
    ("value", "mask", "text"),
    [
        (3.4, RELATIVE, "+3.4"),
        (-3.0, RELATIVE, "−3.0"),
        (88.25, LEVEL, "88.25"),
        (7.0, Mask(quantity="impedance", upper=1.0), "7.0"),
        (0.3, Mask(quantity="thd", upper=1.0), "0.30"),
        (None, LEVEL, ""),
    ],
)
def test_a_limit_is_written_as_it_was_typed(value: float | None, mask: Mask, text: str) -> None:
    assert limit_text(value, mask=mask) == text


def test_margins_and_titles_have_their_units() -> None:
    assert margin_text(-0.04, quantity="level") == "0.0 dB"  # never minus nothing
    assert margin_text(-1.26, quantity="impedance") == "−1.3 Ω"
    assert margin_text(float("nan"), quantity="level") == "—"
    assert held_as(RELATIVE) == "dB re reference unit, level-aligned"
    assert (mask_title("high_order"), mask_title("line_window")) == ("High order", "Line window")


def test_the_table_counts_what_each_decision_costs(trial: Trial) -> None:
    found = drafted(trial, level=offset(LEVEL, upper_by=-2.25, lower_by=0.0))
    state = trial_state(trial, found, now_name="revision 1", draft_name="draft")
    assert state.fact == "20 units, T4-W31 to W32"
    assert [row.cells for row in state.counts] == [("0", "0", "17"), ("1", "1", "1")]
    assert state.counts[1].loud == (True, False, False)  # a good unit that is stopped
    assert (state.escapes, state.false_rejects) == ("0", "1, was 0")
    assert [row.why for row in state.flips] == [
        "good: a false reject (level)",
        "not inspected (level)",
    ]
    assert state.flips[0].mark is Mark.BAD


def test_what_is_not_decided_has_a_row_of_its_own(trial: Trial) -> None:
    guarded = set_value(PROCEDURE.masks["resonance"], side="upper", value=75.2)
    found = drafted(trial, resonance=guarded.model_copy(update={"guard": 1.0}))
    state = trial_state(trial, found, now_name="revision 1", draft_name="draft")
    assert [row.verdict for row in state.counts] == [
        "conforms",
        "does not conform",
        "not decided",
    ]
    words = words_of_limits(trial=trial, found=found, standing=UNSAVED)
    assert words.happened == "Against revision 1, the draft leaves 19 units undecided."


def test_an_escape_is_said_in_the_row_of_its_unit(trial: Trial) -> None:
    wider = set_value(PROCEDURE.masks["resonance"], side="upper", value=90.0)
    found = drafted(trial, resonance=wider)
    state = trial_state(trial, found, now_name="revision 1", draft_name="draft")
    assert state.escapes == "1, was 0"
    assert state.flips[0].why == "bad: an escape (resonance)"
    words = words_of_limits(trial=trial, found=found, standing=UNSAVED)
    assert words.happened == "Against revision 1, the draft passes 1 more bad unit."
    older = replace(UNSAVED, on_bench=RETIRED, bench_name="revision 1", now_name="revision 2")
    words = words_of_limits(trial=trial, found=found, standing=older)
    assert "revision 1 passes" in words.happened
    assert words.action_text == "Approve revision 1"


def test_a_share_is_no_finer_than_the_units_tell() -> None:
    assert percent(0.956, of=45) == "96 %"
    assert percent(0.9563, of=412) == "95.6 %"
    assert percent(float("nan"), of=0) == "—"


def test_a_point_says_what_it_was_and_does(trial: Trial) -> None:
    tighter = offset(LEVEL, upper_by=-2.25, lower_by=0.0)
    words = point_note(
        tighter,
        name="level",
        before=LEVEL,
        chosen=Chosen(side="upper", index=1),
        found=drafted(trial, level=tighter),
        trial=trial,
    )
    assert words == ("upper at 1 kHz: 0.75 dB", "was 3.0 dB; stops 2 units")


def test_fields_show_a_point_or_the_limits_of_a_number() -> None:
    state = point_state(LEVEL, chosen=Chosen(side="lower", index=1))
    assert state is not None
    assert (state.fact, state.at, state.limits) == (
        "2 of 2 lower",
        "10000",
        (("lower", "Limit", "−3.0"),),
    )
    number = point_state(PROCEDURE.masks["resonance"], chosen=None)
    assert number is not None
    assert [text for _, _, text in number.limits] == ["80.0", "70.0"]
    assert point_state(None, chosen=None) is None


def test_values_stand_oldest_first_in_their_lots(trial: Trial) -> None:
    result = rejudge(trial, masks=PROCEDURE.masks).masks["resonance"]
    state = values_state(trial, result)
    assert state.points.y[-1] == 81.0  # unit 20 is the newest
    assert state.points.keys[-1] == "0"
    np.testing.assert_array_equal(state.points.fails, [False] * 19 + [True])
    assert [group.word for group in state.groups][:2] == ["T4-W31", "T4-W32"]
    assert (state.limits.upper, state.limits.lower) == (80.0, 70.0)


def test_revisions_say_who_and_when() -> None:
    second = replace(RETIRED, number=2, state="approved", approved_by="QA", approved_utc=DAY)
    force = InForce(limit_set="p", revisions=(second, RETIRED), approved=second, masks=second.masks)
    state = revisions_state(force, on_bench=None, edits=2, today=date(2031, 3, 3))
    assert state.fact == "not saved yet"
    assert [(row.words, row.day) for row in state.rows] == [
        ("3, not saved: 2 masks", "now"),
        ("2, approved: QA", "today"),
        ("1, retired: QA", "today"),
    ]
    assert state.rows[2].note.splitlines() == [
        "Drawn 2031-03-03 by QC lead: a start",
        "Retired 2031-03-03 by QA: too wide",
    ]
    later = revisions_state(force, on_bench=second, edits=0, today=date(2032, 1, 1))
    assert later.rows[0].day == "3 Mar 2031"


@pytest.mark.parametrize(
    ("text", "number"), [("1,5", 1.5), ("−3", -3.0), ("1.2k", 1200.0), ("3.4 dB", 3.4)]
)
def test_figures_are_read_as_people_write_them(text: str, number: float) -> None:
    assert typed_figure(text, key="limit", unit="dB") == number


def test_a_new_mask_gets_a_free_name_and_its_usual_sides() -> None:
    assert free_name("level", taken={"level", "level_2"}) == "level_3"
    assert (usual_sides("thd"), usual_sides("h3"), usual_sides("fs_hz")) == (
        "upper",
        "upper",
        "both",
    )
    with pytest.raises(EditRefusedError, match="there is such a mask: given level"):
        checked_name(" level ", taken={"level"})
