"""Revisions of limits: numbered, never changed, one approved at a time, each signed."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from app.errors import BadInputError
from app.procedure.mask_schema import Mask
from app.procedure.procedure_limits import with_revision
from app.records.limit_revisions import LimitRevision
from app.records.store import Store
from tests.app.records.made_takes import PROCEDURE, make_capture, make_take

FIRST = PROCEDURE.masks
TIGHTER = {**FIRST, "window": Mask(quantity="level", upper=((100.0, 94.0), (5000.0, 0.1 + 0.2)))}
LOOSER = {**FIRST, "window": Mask(quantity="level", upper=((100.0, 99.0),), guard=1.0)}
SET = "T4 line"


def draw(store: Store, masks: Mapping[str, Mask], **by: Any) -> LimitRevision:
    return store.add_limit_revision(SET, masks, **{"by": "A. B.", "why": "a new lot"} | by)


def approve(store: Store, number: int, *, seen: int | None, by: str = "C. D.") -> LimitRevision:
    return store.approve_limits(SET, number, by=by, why="tried on W31", seen=seen)


def test_revisions_are_counted_and_come_back_as_they_were_drawn(store: Store) -> None:
    drawn = [draw(store, masks) for masks in (FIRST, TIGHTER, FIRST)]
    assert [one.number for one in drawn] == [1, 2, 3]
    store.add_limit_revision("another", LOOSER, by="A. B.", why="try")
    kept = store.limit_revisions(SET)
    assert [(one.number, one.state) for one in kept] == [(3, "draft"), (2, "draft"), (1, "draft")]
    assert kept[1].masks == TIGHTER
    assert list(kept[1].masks) == list(TIGHTER)
    assert (kept[1].by, kept[1].why, kept[1].at_utc) == ("A. B.", "a new lot", drawn[1].at_utc)
    assert kept[0].sha256 == kept[2].sha256 != kept[1].sha256
    assert store.limit_sets() == ("another", SET)
    assert store.limit_revisions("nobody's") == ()


def test_one_is_approved_and_the_one_before_it_is_retired(store: Store) -> None:
    for masks in (FIRST, TIGHTER):
        draw(store, masks)
    first = approve(store, 1, seen=None)
    assert (first.state, first.approved_by, first.approved_why) == (
        "approved",
        "C. D.",
        "tried on W31",
    )
    assert not first.is_self_approved
    second = approve(store, 2, seen=1, by=" a.b. ")
    assert second.is_self_approved
    before = store.limit_revision(SET, 1)
    assert (before.state, before.retired_by) == ("retired", "a.b.")
    assert before.retired_why == "revision 2 takes its place: tried on W31"
    assert before.approved_utc == first.approved_utc
    back = approve(store, 1, seen=2)  # the line goes back to what it had
    assert (back.state, back.retired_utc) == ("approved", None)
    assert store.limit_revision(SET, 2).state == "retired"


def test_an_approval_that_did_not_see_the_one_in_force_is_refused_and_told(store: Store) -> None:
    for masks in (FIRST, TIGHTER, LOOSER):
        draw(store, masks)
    approve(store, 1, seen=None)
    approve(store, 2, seen=1, by="E. F.")
    at = store.limit_revision(SET, 2).approved_utc
    for seen in (None, 1, 3):
        with pytest.raises(BadInputError) as refused:
            approve(store, 3, seen=seen)
        assert str(refused.value) == (
            f"limits T4 line: revision 2 was approved by E. F. at {at:%Y-%m-%d %H:%M} UTC "
            "meanwhile: allowed look at that one, then approve again"
        )
    store.retire_limits(SET, 2, by="G. H.", why="lets leaks pass")
    with pytest.raises(BadInputError, match=r"revision 2 was retired by G. H. at .* meanwhile"):
        approve(store, 3, seen=2)
    assert approve(store, 3, seen=None).state == "approved"


def test_what_cannot_be_is_told_in_one_line_and_nothing_is_kept(store: Store) -> None:
    draw(store, FIRST)
    approve(store, 1, seen=None)
    refused_ones: list[tuple[Callable[[], object], str]] = [
        (lambda: draw(store, FIRST), "the masks are those of revision 1, approved, by A. B."),
        (lambda: draw(store, dict(reversed(FIRST.items()))), "the masks are those of revision 1"),
        (lambda: draw(store, {}), "no mask"),
        (lambda: store.add_limit_revision(" ", FIRST, by="A", why="b"), "the set has no name"),
        (lambda: draw(store, TIGHTER, by=" "), "by is empty"),
        (lambda: draw(store, TIGHTER, why=""), "why is empty"),
        (lambda: approve(store, 1, seen=1), "is approved already, by C. D. at"),
        (lambda: approve(store, 2, seen=1), "no such revision: given 2, allowed 1 to 1"),
        (lambda: store.limit_revision("T5", 1), "no such set: given T5, allowed T4 line"),
    ]
    for doing, line in refused_ones:
        with pytest.raises(BadInputError, match=line) as refused:
            doing()
        assert "\n" not in str(refused.value)
    store.retire_limits(SET, 1, by="A. B.", why="old")
    with pytest.raises(BadInputError, match=r"is retired already, by A\. B\. at"):
        store.retire_limits(SET, 1, by="A. B.", why="old")
    assert len(store.limit_revisions(SET)) == 1


def test_every_step_stands_in_the_audit_trail(store: Store) -> None:
    draw(store, FIRST)
    draw(store, TIGHTER)
    approve(store, 1, seen=None)
    approve(store, 2, seen=1, by="A. B.")
    draw(store, LOOSER)
    store.retire_limits(SET, 3, by="A. B.", why="not tried")
    trail = [(one.what, one.who) for one in reversed(store.audit(subject="limits T4 line"))]
    assert trail == [
        ("revision 1 drawn", "A. B."),
        ("revision 2 drawn", "A. B."),
        ("revision 1 approved", "C. D."),
        ("revision 2 approved by the one who drew it", "A. B."),
        ("revision 1 retired", "A. B."),
        ("revision 3 drawn", "A. B."),
        ("revision 3 withdrawn", "A. B."),
    ]


def test_a_take_keeps_the_revision_that_judged_it(store: Store) -> None:
    capture = make_capture()
    revision = draw(store, TIGHTER)
    named = with_revision(PROCEDURE, revision.masks, limit_set=SET, revision=revision.number)
    altered = named.model_copy(update={"masks": LOOSER})
    unknown = with_revision(PROCEDURE, TIGHTER, limit_set=SET, revision=9)
    takes = [
        make_take(capture, seed=seed, procedure=procedure)
        for seed, procedure in enumerate((PROCEDURE, named, altered, unknown), start=1)
    ]
    for take in takes:
        store.keep(take, capture=capture)
    approve(store, 1, seen=None)
    draw(store, LOOSER)  # what comes later changes nothing about them
    summaries = [one.limits for one in reversed(store.find())]
    assert summaries == [take.procedure.limits for take in takes]
    assert store.take(takes[1].id).procedure.limits == named.limits
    own, held, changed, missing = (store.record(take.id).limits for take in takes)
    assert own is None
    assert held is not None
    assert changed is not None
    assert missing is not None
    assert held.revision is not None
    assert held.revision.state == "approved"
    assert [(one.holds, one.words) for one in (held, changed, missing)] == [
        (True, "T4 line, revision 1"),
        (False, "T4 line, revision 1, but with other masks"),
        (False, "T4 line, revision 9, which this store does not have"),
    ]


def test_nothing_of_it_is_ever_changed(store: Store) -> None:
    draw(store, FIRST)
    approve(store, 1, seen=None)
    for statement in (
        "UPDATE limit_revisions SET number = 2",
        "DELETE FROM limit_revisions",
        "UPDATE limit_steps SET state = 'retired'",
        "DELETE FROM limit_steps",
        "UPDATE audit SET who = 'nobody'",
        "DELETE FROM audit",
    ):
        with (
            pytest.raises(BadInputError, match="kept as they were"),
            store._write("not changed") as connection,
        ):
            connection.exec_driver_sql(statement)
    assert store.limit_revision(SET, 1).approved_by == "C. D."


def test_masks_that_somebody_changed_behind_its_back_are_refused(tmp_path: Path) -> None:
    with Store.open(tmp_path / "records.sqlite") as store:
        draw(store, FIRST)
        with store._write("x") as connection:
            connection.exec_driver_sql("DROP TRIGGER limit_revisions_no_update")
            connection.exec_driver_sql(
                "UPDATE limit_revisions SET document = replace(document, '95.0', '96.0')"
            )
        with pytest.raises(BadInputError, match="the masks are not those that were kept"):
            store.limit_revisions(SET)
