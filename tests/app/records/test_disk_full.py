"""A disk that takes no more: one clear line, nothing half-kept, and the next take goes well.

Full is played by the limit that the system puts on the length of any file a process writes.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from app.records.store import Store
from tests.app.records.made_takes import bits, make_capture, make_take

resource = pytest.importorskip("resource", reason="this system sets no limit on files")

CHILD = """
import resource, runpy, sys
from app.errors import AppError
from app.records.store import Store

made = runpy.run_path(sys.argv[1])
small, big = (made["make_capture"](n, frames=f) for n, f in ((1, 100), (2, int(sys.argv[3]))))
with Store.open(sys.argv[2]) as store:
    store.keep(made["make_take"](small, seed=1), capture=small)
    points = int(sys.argv[4])
    take = made["make_take"](big, seed=2, curves=made["make_curves"](2, points=points))
    resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, resource.RLIM_INFINITY))
    try:
        store.keep(take, capture=big)
    except AppError as error:
        print(type(error).__name__, error)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    assert len(store.find()) == 1
    third = made["make_capture"](3)
    store.keep(made["make_take"](third, seed=3), capture=third)
"""


@pytest.mark.parametrize(
    ("frames", "points"), [(50_000, 10), (100, 50_000)], ids=["recording", "database"]
)
def test_a_full_disk_is_told_in_one_line_and_leaves_nothing(
    tmp_path: Path, frames: int, points: int
) -> None:
    where = tmp_path / "records.sqlite"
    made = Path(__file__).with_name("made_takes.py")
    done = subprocess.run(
        [sys.executable, "-c", CHILD, str(made), str(where), str(frames), str(points)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    (line,) = done.stdout.splitlines()
    assert line.startswith(f"BadInputError {where}: the take was not kept: ")
    assert line.endswith(("file too large", "the disk does not take or give the data"))
    with Store.open(where) as store:
        for seed in (1, 3):
            capture = make_capture(seed, frames=100 if seed == 1 else 480)
            take = make_take(capture, seed=seed)
            assert bits(store.take(take.id)) == bits(take)
            assert bits(store.capture(take)) == bits(capture)
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 3
