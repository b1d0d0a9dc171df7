"""Several processes and threads use one store at the same time."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from app.records.store import Store
from tests.app.records.made_takes import bits, make_capture, make_take

KEEP_ON = Path(__file__).with_name("keep_on.py")


def test_processes_that_make_and_fill_a_store_at_once_lose_nothing(tmp_path: Path) -> None:
    where, takes = tmp_path / "records.sqlite", 12
    children = [
        subprocess.Popen(
            [sys.executable, str(KEEP_ON), str(where), str(seed), str(takes)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for seed in (1, 2, 3)
    ]
    told = [child.communicate() for child in children]
    assert [err for _, err in told] == ["", "", ""]
    reported = {line for out, _ in told for line in out.split()} - {"open"}
    with Store.open(where) as store:
        assert {summary.id for summary in store.find()} == reported
        assert len(reported) == 3 * takes
        for take_id in reported:
            store.capture(store.take(take_id))


def test_one_store_serves_several_threads(tmp_path: Path) -> None:
    captures = [make_capture(n) for n in range(24)]
    takes = [make_take(capture, seed=n) for n, capture in enumerate(captures)]
    with Store.open(tmp_path / "records.sqlite") as store, ThreadPoolExecutor(4) as pool:

        def keep_and_read(n: int) -> bool:
            store.keep(takes[n], capture=captures[n])
            return bits(store.take(takes[n].id)) == bits(takes[n])

        assert all(pool.map(keep_and_read, range(24)))
        assert store.count() == 24


def test_who_reads_sees_one_state_while_another_writes(tmp_path: Path) -> None:
    capture = make_capture()
    with Store.open(tmp_path / "a.sqlite") as one, Store.open(tmp_path / "a.sqlite") as other:
        one.keep(make_take(capture, seed=1), capture=capture)
        with one._read() as connection:
            connection.exec_driver_sql("SELECT 1 FROM takes").all()
            other.keep(make_take(capture, seed=2), capture=capture)  # does not wait
            assert len(connection.exec_driver_sql("SELECT 1 FROM takes").all()) == 1
        assert one.count() == 2
