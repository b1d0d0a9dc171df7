"""A procedure's forms are counted as the store meets them."""

from app.procedure.schema import Procedure
from app.records.store import Store
from tests.app.records.made_takes import PROCEDURE, make_capture, make_take


def form(description: str) -> Procedure:
    return Procedure.model_validate({**PROCEDURE.model_dump(), "description": description})


def test_what_takes_were_made_with_are_revisions(where: str) -> None:
    capture = make_capture()
    first, second = form("one"), form("two")
    other = Procedure.model_validate({**PROCEDURE.model_dump(), "name": "type test"})
    with Store.open(where) as store:
        assert store.revisions("line-check") == ()
        assert store.revision_of(first) is None
        takes = [
            make_take(capture, seed=n, procedure=procedure)
            for n, procedure in enumerate((first, second, first, other), start=1)
        ]
        for take in takes:
            store.keep(take, capture=capture)
        assert [(r.number, r.takes) for r in store.revisions("line-check")] == [(2, 1), (1, 2)]
        assert store.revisions("line-check")[-1].at_utc == takes[0].started_utc
        found = store.revision_of(second)
        assert found == store.revisions("line-check")[0]
        assert found is not None
        assert store.revised_procedure(found.sha256) == second
        assert store.revised_procedure("0" * 64) is None
        assert [r.number for r in store.revisions("type test")] == [1]
        (summary,) = store.find(limit=1, procedure="line-check")
        assert summary.procedure_sha256 in {r.sha256 for r in store.revisions("line-check")}
