"""What people decide holds from then on, and the trail says who, when, what and why."""

from datetime import UTC, datetime

import pytest

from app.errors import BadInputError
from app.procedure.schema import Procedure
from app.records.store import Store
from tests.app.records.made_takes import PROCEDURE, bits, make_capture, make_take


def test_the_reference_of_a_procedure_is_the_one_named_last_for_any_lot(store: Store) -> None:
    capture = make_capture()
    revised = Procedure.model_validate({**PROCEDURE.model_dump(), "description": "masks moved"})
    first = make_take(capture, seed=1)
    second = make_take(capture, seed=2, lot="T4-W32", procedure=revised)
    for take in (first, second):
        store.keep(take, capture=capture)
    assert store.reference("line-check") is None
    store.set_reference(first.id, by="M. K.", why="median of the first lot")
    assert bits(store.reference("line-check")) == bits(first)
    store.set_reference(second.id[:12], by="M. K.", why="new tool")
    assert bits(store.reference("line-check")) == bits(second)
    assert store.reference("another") is None


def test_the_last_mark_of_a_unit_holds(store: Store) -> None:
    capture = make_capture()
    for n in (1, 2, 3):
        store.keep(make_take(capture, seed=n, unit=f"T4-W31-000{n}"), capture=capture)
    assert store.marks() == {}
    store.mark_unit("T4-W31-0001", "bad", by="J. P.", why="rubs by ear")
    store.mark_unit("T4-W31-0002", "good", by="J. P.", why="opened, coil is centred")
    store.mark_unit("T4-W31-0001", "good", by="M. K.", why="it was the fixture")
    marks = store.marks()
    assert {serial: mark.mark for serial, mark in marks.items()} == {
        "T4-W31-0001": "good",
        "T4-W31-0002": "good",
    }
    assert (marks["T4-W31-0001"].by, marks["T4-W31-0001"].why) == ("M. K.", "it was the fixture")


def test_the_trail_tells_every_decision_the_newest_first(store: Store) -> None:
    capture, before = make_capture(), datetime.now(UTC)
    take = make_take(capture)
    store.keep(take, capture=capture)
    store.mark_unit("T4-W31-0417", "bad", by=" J. P. ", why="buzzes")
    store.set_reference(take.id, by="M. K.", why="golden")
    told = [(e.who, e.what, e.subject, e.why) for e in store.audit()]
    assert told == [
        ("M. K.", "reference of line-check", f"take {take.id}", "golden"),
        ("J. P.", "marked bad", "unit T4-W31-0417", "buzzes"),
    ]
    assert all(before <= entry.at_utc <= datetime.now(UTC) for entry in store.audit())
    assert [e.what for e in store.audit(subject="unit T4-W31-0417")] == ["marked bad"]
    assert [e.what for e in store.audit(limit=1, offset=1)] == ["marked bad"]


def test_a_decision_without_a_name_a_reason_or_a_subject_changes_nothing(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    with pytest.raises(BadInputError, match="by is empty"):
        store.set_reference(take.id, by=" ", why="golden")
    with pytest.raises(BadInputError, match="why is empty"):
        store.mark_unit("T4-W31-0417", "good", by="M. K.", why="")
    with pytest.raises(BadInputError, match="mark: the store holds no such unit: given T4-W31-41"):
        store.mark_unit("T4-W31-41", "good", by="M. K.", why="fine")
    with pytest.raises(BadInputError, match="mark: no such mark: given okay, allowed good or bad"):
        store.mark_unit("T4-W31-0417", "okay", by="M. K.", why="fine")  # type: ignore[arg-type]  # what a person may type
    with pytest.raises(BadInputError, match="no such take"):
        store.set_reference("ffff", by="M. K.", why="golden")
    assert store.audit() == ()
    assert store.reference("line-check") is None
    assert store.marks() == {}
