"""Killed at any moment, the store opens clean and no take that was reported is lost."""

import random
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import select

from app.records import tables
from app.records.engine import reading
from app.records.store import Store

MOMENTS = 12
KEEP_ON = Path(__file__).with_name("keep_on.py")


def start(where: Path, *more: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(KEEP_ON), str(where), *map(str, more)],
        stdout=subprocess.PIPE,
        text=True,
    )


def spin(turns: int) -> None:
    """Let a random, short while pass: not a sleep, whose grain is coarser than a take."""
    for _ in range(turns):
        pass


def check(where: Path, reported: set[str]) -> None:
    with Store.open(where) as store:
        with reading(store._engine) as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
            captures = set(connection.execute(select(tables.captures.c.sha256)).scalars())
            audio = set(connection.execute(select(tables.audio_files.c.sha256)).scalars())
        kept = {summary.id for summary in store.find()}
        assert reported <= kept
        for take_id in kept:
            take = store.take(take_id)
            assert store.capture(take).samples.shape == (20_000, 2)
            assert set(store.audio(take)) == {"a.wav"}
    # Whole: no file is missing, and none is left of a take that never came to be.
    files = {p.name for p in where.parent.rglob("*") if p.is_file() and "captures" in str(p.parent)}
    assert files == {f"{sha256}.wav" for sha256 in captures | audio}


@pytest.mark.parametrize("share", range(2))
def test_every_take_that_was_reported_is_there_whenever_the_process_was_killed(
    tmp_path: Path, share: int
) -> None:
    where, rng, reported = tmp_path / "records.sqlite", random.Random(share), set()
    for moment in range(MOMENTS // 2):
        child = start(where, 100 * share + moment)
        assert child.stdout is not None
        lines = rng.randrange(4)
        if rng.random() < 0.9:  # otherwise while it starts: imports, makes or opens the store
            lines += 1
        for _ in range(lines):
            reported.add(child.stdout.readline().strip())
        spin(rng.randrange(400_000))
        child.kill()
        reported |= set(child.stdout.read().split())
        child.wait()
        child.stdout.close()
        reported -= {"open", ""}
        check(where, reported)
    assert len(reported) >= MOMENTS // 2
