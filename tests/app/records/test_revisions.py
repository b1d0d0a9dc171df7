"""A procedure's forms are counted as the store meets them; saving signs one."""

import pytest

from app.errors import BadInputError
from app.procedure.schema import Procedure
from app.records.store import Store
from tests.app.records.made_takes import PROCEDURE, make_capture, make_take


def form(description: str) -> Procedure:
    return Procedure.model_validate({**PROCEDURE.model_dump(), "description": description})


def test_what_takes_were_made_with_and_what_was_saved_are_revisions(where: str) -> None:
    capture = make_capture()
    first, second, third = form("one"), form("two"), form("three")
    with Store.open(where) as store:
        assert store.revisions("line-check") == ()
        assert store.revision_of(first) is None
        takes = [
            make_take(capture, seed=n, procedure=procedure)
            for n, procedure in enumerate((first, second, first), start=1)
        ]
        for take in takes:
            store.keep(take, capture=capture)
        saved = store.save_revision(third, by=" N. N. ", why="the dip wanders")
        assert (saved.number, saved.takes, saved.by, saved.why) == (
            3,
            0,
            "N. N.",
            "the dip wanders",
        )
        assert [(r.number, r.takes, r.by) for r in store.revisions("line-check")] == [
            (3, 0, "N. N."),
            (2, 1, ""),
            (1, 2, ""),
        ]
        assert store.revisions("line-check")[-1].at_utc == takes[0].started_utc
        assert store.revision_of(second) == store.revisions("line-check")[1]
        assert store.revised_procedure(saved.sha256) == third
        assert store.revised_procedure("0" * 64) is None
        (summary,) = store.find(limit=1)
        assert summary.procedure_sha256 in {r.sha256 for r in store.revisions("line-check")}


def test_a_form_that_is_saved_again_keeps_its_number_and_takes_the_last_signature(
    where: str,
) -> None:
    with Store.open(where) as store:
        once = store.save_revision(form("one"), by="N. N.", why="a start")
        store.save_revision(form("two"), by="N. N.", why="wider")
        again = store.save_revision(form("one"), by="M. M.", why="back to the start")
        assert (once.number, again.number, again.by) == (1, 1, "M. M.")
        assert len(store.revisions("line-check")) == 2
        assert [entry.who for entry in store.audit()] == ["M. M.", "N. N.", "N. N."]


def test_nobody_can_save_without_a_name_and_a_reason(where: str) -> None:
    with Store.open(where) as store:
        for by, why, line in (("", "because", "by is empty"), ("N. N.", " ", "why is empty")):
            with pytest.raises(BadInputError, match=line):
                store.save_revision(form("one"), by=by, why=why)
        assert store.revisions("line-check") == ()


def test_other_procedures_count_for_themselves(where: str) -> None:
    other = Procedure.model_validate({**PROCEDURE.model_dump(), "name": "type test"})
    with Store.open(where) as store:
        store.save_revision(form("one"), by="N. N.", why="a start")
        assert store.save_revision(other, by="N. N.", why="a start").number == 1
