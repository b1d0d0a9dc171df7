"""kill -9 at eight random moments: the store opens clean, and what was finished is there whole."""

import os
import random
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from tests.app.measure.bench_job import open_store

ROOT = Path(__file__).resolve().parents[2]
KILLS = 8


@pytest.fixture
def program() -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(
        [sys.executable, "-m", "tests.app.killed_program"],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        yield running
        assert running.stdin is not None
        running.stdin.close()


def run_and_kill(program: subprocess.Popen[str], *, folder: Path, after: int) -> list[str]:
    """Let it run for ``after`` lines, kill it, and return the takes that it called finished."""
    assert program.stdin is not None
    assert program.stdout is not None
    program.stdin.write(f"{folder}\n")
    program.stdin.flush()
    pid = int(program.stdout.readline().removeprefix("pid "))
    lines = []
    for _ in range(after):
        lines.append(program.stdout.readline())
        assert lines[-1] not in {"", "ended\n"}, "it ended before it was killed"
    os.kill(pid, signal.SIGKILL)
    while (line := program.stdout.readline()) != "ended\n":
        assert line, "the program is gone"
        lines.append(line)
    return [line.split()[1] for line in lines if line.startswith("finished ")]


def test_no_finished_take_is_lost_when_the_program_is_killed(
    program: subprocess.Popen[str], tmp_path: Path
) -> None:
    moments = random.Random(20)
    finished: list[str] = []
    for _ in range(KILLS):
        finished += run_and_kill(program, folder=tmp_path, after=moments.randrange(1, 60))
        with open_store(tmp_path) as store:
            kept = {summary.id for summary in store.find()}
            assert kept.issuperset(finished)
            for take_id in kept:
                capture = store.capture(store.take(take_id), verify=True)
                assert np.any(capture.samples)
    assert finished  # otherwise nothing was tested
