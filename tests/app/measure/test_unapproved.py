"""A procedure that runs limits nobody stands behind says so, in one sentence and in its takes."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.runner import Run
from app.measure.unapproved import unapproved
from app.procedure.edit_masks import offset
from app.procedure.mask_schema import Mask
from app.procedure.schema import LimitsNamed, Procedure
from app.records.store import Store
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import job, open_store, procedure

SET = "T4 line"


def naming(revision: int) -> Procedure:
    own = procedure().procedure
    return own.model_copy(update={"limits": LimitsNamed(set=SET, revision=revision)})


def wider() -> dict[str, Mask]:
    return {"level": offset(procedure().procedure.masks["level"], upper_by=1.0, lower_by=0.0)}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path) as made:
        for masks in (procedure().procedure.masks, wider()):
            made.add_limit_revision(SET, masks, by="QC lead", why="drawn")
        yield made


def test_a_draft_is_told_and_an_approved_revision_is_not(store: Store) -> None:
    assert unapproved(store, naming(1)) == (
        "limits T4 line, revision 1: a draft, which nobody has approved; none is approved"
    )
    store.approve_limits(SET, 1, by="QA", why="seen", seen=None)
    assert unapproved(store, naming(1)) == ""
    assert unapproved(store, naming(2)).endswith("nobody has approved; revision 1 is approved")


def test_a_retired_revision_is_told_with_when_by_whom_and_what_holds_instead(store: Store) -> None:
    store.approve_limits(SET, 1, by="QA", why="seen", seen=None)
    store.approve_limits(SET, 2, by="QC manager", why="tighter", seen=1)
    told = unapproved(store, naming(1))
    assert told.startswith("limits T4 line, revision 1: retired on 20")
    assert told.endswith(" by QC manager; revision 2 is approved")


def test_masks_that_were_edited_under_an_approved_name_are_told(store: Store) -> None:
    store.approve_limits(SET, 1, by="QA", why="seen", seen=None)
    edited = naming(1).model_copy(update={"masks": wider()})
    assert "approved, but the procedure judges by other masks" in unapproved(store, edited)


def test_what_a_store_does_not_know_it_does_not_doubt(store: Store) -> None:
    assert unapproved(store, naming(7)) == ""
    assert unapproved(store, procedure().procedure) == ""
    assert unapproved(None, naming(1)) == ""


def test_a_take_that_a_draft_judged_has_the_warning(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        store.add_limit_revision(SET, procedure().procedure.masks, by="QC lead", why="drawn")
        asked = job(store=store, loaded=procedure(limits={"set": SET, "revision": 1}))
        run = Run(
            asked, excitation=excite(asked.procedure, asked.chain), card=VirtualCard(asked.chain)
        )
        last = list(run.events())[-1]
        assert isinstance(last, Finished)
        told = unapproved(store, asked.procedure.procedure)
        assert told in store.take(last.take.id).warnings
