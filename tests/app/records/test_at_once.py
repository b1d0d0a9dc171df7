"""Several processes and threads use one store at the same time."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from app.records.store import Store
from tests.app.records.made_takes import bits, make_capture, make_take
from tests.app.records.places import KINDS, Kind, Places

KEEP_ON = Path(__file__).with_name("keep_on.py")


@pytest.mark.parametrize("kind", KINDS)
def test_processes_that_make_and_fill_a_store_at_once_lose_nothing(
    places: Places, kind: Kind
) -> None:
    where, takes = places.bare(kind), 8
    children = [
        subprocess.Popen(
            [sys.executable, str(KEEP_ON), where, str(seed), str(takes)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for seed in (1, 2)
    ]
    told = [child.communicate() for child in children]
    assert [err for _, err in told] == ["", ""]
    reported = {line for out, _ in told for line in out.split()} - {"open"}
    with Store.open(where) as store:
        assert {summary.id for summary in store.find()} == reported
        assert len(reported) == 2 * takes
        for take_id in reported:
            store.capture(store.take(take_id))


def test_one_store_serves_several_threads(where: str) -> None:
    captures = [make_capture(n) for n in range(12)]
    takes = [make_take(capture, seed=n) for n, capture in enumerate(captures)]
    with Store.open(where) as store, ThreadPoolExecutor(4) as pool:

        def keep_and_read(n: int) -> bool:
            store.keep(takes[n], capture=captures[n])
            return bits(store.take(takes[n].id)) == bits(takes[n])

        assert all(pool.map(keep_and_read, range(12)))
        assert store.count() == 12


def test_who_reads_sees_one_state_while_another_writes(where: str) -> None:
    capture = make_capture()
    with Store.open(where) as one, Store.open(where) as other:
        one.keep(make_take(capture, seed=1), capture=capture)
        with one._read() as connection:
            connection.exec_driver_sql("SELECT 1 FROM takes").all()
            other.keep(make_take(capture, seed=2), capture=capture)  # does not wait
            assert len(connection.exec_driver_sql("SELECT 1 FROM takes").all()) == 1
        assert one.count() == 2
