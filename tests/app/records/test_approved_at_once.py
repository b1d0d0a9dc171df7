"""Two stations approve limits at the same moment: one wins, the other is told by whom and when."""

from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor, wait
from threading import Barrier

import pytest
from sqlalchemy import insert

from app.errors import BadInputError
from app.procedure.mask_schema import Mask
from app.records import tables
from app.records.limit_revisions import LimitRevision
from app.records.store import Store
from app.records.write_limits import write_approval
from tests.app.records.places import Places

SET = "T4 line"


@pytest.fixture
def other(where: str, store: Store) -> Iterator[Store]:  # noqa: ARG001  it makes the store
    """Another station: connections of its own to the same store."""
    with Store.open(where) as one:
        yield one


def draw(store: Store, count: int) -> None:
    for number in range(1, count + 1):
        masks = {"distortion": Mask(quantity="thd", upper=float(number))}
        store.add_limit_revision(SET, masks, by="A. B.", why="a new lot")


def approve(store: Store, number: int, *, by: str, seen: int | None) -> LimitRevision:
    return store.approve_limits(SET, number, by=by, why="tried", seen=seen)


def is_waiting_for_a_lock(places: Places) -> bool:
    return bool(places.server.run("SELECT 1 FROM pg_stat_activity WHERE wait_event_type = 'Lock'"))


def test_who_comes_while_another_approves_waits_and_is_told(
    store: Store, other: Store, places: Places
) -> None:
    draw(store, 3)
    approve(store, 1, by="A. B.", seen=None)
    with ThreadPoolExecutor(1) as pool:
        with store._write("not approved") as connection:
            write_approval(SET, 2, by="C. D.", why="tried", seen=1, on=connection)
            late = pool.submit(approve, other, 3, by="E. F.", seen=1)
            while store.name.startswith("postgresql") and not is_waiting_for_a_lock(places):
                assert not wait([late], timeout=0.01).done
        refused = late.exception()
    first = store.limit_revision(SET, 2)
    assert str(refused) == (
        f"limits T4 line: revision 2 was approved by C. D. at {first.approved_utc:%Y-%m-%d %H:%M} "
        "UTC meanwhile: allowed look at that one, then approve again"
    )
    assert [one.state for one in store.limit_revisions(SET)] == ["draft", "approved", "retired"]
    assert not [entry for entry in store.audit() if entry.who == "E. F."]
    assert approve(other, 3, by="E. F.", seen=2).state == "approved"


def test_of_two_that_start_together_exactly_one_wins(store: Store, other: Store) -> None:
    draw(store, 7)
    approve(store, 1, by="A. B.", seen=None)
    together, seen = Barrier(2), 1

    def station(one: Store, number: int, by: str) -> Callable[[], LimitRevision]:
        def go() -> LimitRevision:
            together.wait()
            return approve(one, number, by=by, seen=seen)

        return go

    with ThreadPoolExecutor(2) as pool:
        for number in (2, 4, 6):
            tries: dict[int, Future[LimitRevision]] = {
                number: pool.submit(station(store, number, "C. D.")),
                number + 1: pool.submit(station(other, number + 1, "E. F.")),
            }
            lost = [one for one, tried in tries.items() if tried.exception() is not None]
            (won,) = tries.keys() - set(lost)
            by = tries[won].result().approved_by
            assert f"revision {won} was approved by {by} at" in str(tries[lost[0]].exception())
            approved = [one for one in store.limit_revisions(SET) if one.state == "approved"]
            assert [one.number for one in approved] == [won]
            seen = won


def test_the_database_itself_takes_no_step_twice(store: Store) -> None:
    draw(store, 2)
    approve(store, 1, by="A. B.", seen=None)
    same_step = insert(tables.limit_steps).values(
        set_name=SET, number=1, revision=2, state="approved", audit_id=1
    )
    with pytest.raises(BadInputError, match=r"(?i)unique"), store._write("no") as connection:
        connection.execute(same_step)
    assert store.limit_revision(SET, 2).state == "draft"
