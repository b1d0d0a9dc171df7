"""Takes are found by what they are, the newest first, and through an index."""

from collections.abc import Iterator
from datetime import timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from app.errors import BadInputError
from app.procedure.schema import Procedure
from app.records.filters import Filters
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import PROCEDURE, START, make_capture, make_take
from tests.app.records.places import KINDS, Places

OTHER = Procedure.model_validate({**PROCEDURE.model_dump(), "name": "type test"})
REVISED = Procedure.model_validate({**PROCEDURE.model_dump(), "description": "masks moved"})


def hours(n: float) -> timedelta:
    return timedelta(hours=n)


@pytest.fixture(scope="module", params=KINDS)
def store(request: pytest.FixtureRequest, places: Places) -> Iterator[Store]:
    capture = make_capture()
    takes: list[dict[str, Any]] = [
        {"unit": "T4-W31-0001", "verdict": Verdict.CONFORMS},
        {"unit": "T4-W31-0002", "verdict": Verdict.DOES_NOT_CONFORM},
        {"unit": "T4-W31-0001", "verdict": Verdict.CONFORMS, "procedure": REVISED},
        {"unit": "T4-W32-0001", "lot": "T4-W32", "verdict": Verdict.CONFORMS},
        {"unit": None, "lot": None, "verdict": Verdict.NOT_DECIDED, "procedure": OTHER},
    ]
    with Store.open(places.new(request.param)) as store:
        for n, what in enumerate(takes):
            take = make_take(capture, seed=n, id=f"{n:032x}", started_utc=START + hours(n), **what)
            store.keep(take, capture=capture)
        yield store


def found(store: Store, **filters: object) -> list[int]:
    summaries = store.find(**filters)  # type: ignore[arg-type]  # any filter, by name
    assert store.count(**filters) == len(summaries)  # type: ignore[arg-type]  # as above
    return [int(summary.id, 16) for summary in summaries]


@pytest.mark.parametrize(
    ("filters", "takes"),
    [
        ({}, [4, 3, 2, 1, 0]),
        ({"serial": "T4-W31-0001"}, [2, 0]),
        ({"serial": "nobody"}, []),
        ({"lot": "T4-W31"}, [2, 1, 0]),
        ({"lot": "T4-W31", "serial": "T4-W31-0002"}, [1]),
        ({"verdict": Verdict.CONFORMS}, [3, 2, 0]),
        ({"procedure": "line-check"}, [3, 2, 1, 0]),
        ({"procedure": "type test"}, [4]),
        ({"since": START + hours(2)}, [4, 3, 2]),
        ({"until": START + hours(2)}, [1, 0]),
        ({"since": START + hours(1), "until": START + hours(3), "lot": "T4-W31"}, [2, 1]),
        ({"since": (START + hours(3)).astimezone(timezone(hours(5)))}, [4, 3]),
        ({"serial": None, "lot": None, "verdict": None}, [4, 3, 2, 1, 0]),
    ],
    ids=str,
)
def test_takes_are_found_by_what_they_are(store: Store, filters: Filters, takes: list[int]) -> None:
    assert found(store, **filters) == takes


def test_pages_follow_each_other(store: Store) -> None:
    pages = [store.find(limit=2, offset=at) for at in (0, 2, 4, 6)]
    assert [[int(s.id, 16) for s in page] for page in pages] == [[4, 3], [2, 1], [0], []]
    with pytest.raises(BadInputError, match="find: page below zero"):
        store.find(limit=2, offset=-2)


def test_of_the_same_moment_the_one_kept_last_comes_first(tmp_path: Path) -> None:
    capture = make_capture()
    with Store.open(tmp_path / "records.sqlite") as store:
        for n in (5, 3, 9):
            take = make_take(capture, id=f"{n:032x}", started_utc=START)
            store.keep(take, capture=capture)
        assert found(store) == [9, 3, 5]


def test_a_summary_says_what_the_take_says(store: Store) -> None:
    for summary in store.find():
        take = store.take(summary.id)
        assert (summary.unit, summary.lot) == (take.unit, take.lot)
        assert summary.procedure == take.procedure.name
        assert (summary.started_utc, summary.verdict) == (take.started_utc, take.verdict)
        assert (summary.warnings, summary.derived_from) == (take.warnings, take.derived_from)


def test_revisions_of_a_procedure_are_told_apart(store: Store) -> None:
    revisions = {s.procedure_sha256 for s in store.find(procedure="line-check")}
    assert len(revisions) == 2


def test_a_moment_without_a_zone_is_refused(store: Store) -> None:
    with pytest.raises(BadInputError, match="since: no time zone: given 2026-07-27T06:30:00"):
        store.find(since=START.replace(tzinfo=None))


# SQLite tells how it reads; what PostgreSQL does with so few rows says nothing about many.
@pytest.mark.parametrize("store", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    "filters",
    [
        {},
        {"serial": "T4-W31-0001"},
        {"lot": "T4-W31"},
        {"verdict": Verdict.CONFORMS},
        {"procedure": "line-check"},
        {"since": START, "until": START + hours(2)},
    ],
    ids=str,
)
def test_no_search_reads_the_whole_table(store: Store, filters: Filters) -> None:
    asked: list[tuple[str, tuple[object, ...]]] = []

    def listen(*call: object) -> None:
        asked.append((str(call[2]), tuple(call[3])))  # type: ignore[arg-type]  # a tuple

    event.listen(store._engine, "before_cursor_execute", listen)
    try:
        store.find(limit=10, **filters)
    finally:
        event.remove(store._engine, "before_cursor_execute", listen)
    ((statement, values),) = [call for call in asked if "FROM takes" in call[0]]
    with store._engine.connect() as connection:
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()
    scans = [step[3] for step in plan if step[3].startswith("SCAN takes")]
    assert all("USING" in scan for scan in scans), plan
