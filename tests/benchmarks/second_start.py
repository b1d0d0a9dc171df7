"""How soon the demo has come to its verdict on a machine that is set up."""

import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.benchmarks.row import Row

BAR_S = 2.0
_ROOT = Path(__file__).parents[2]


def second_start(*, repeats: int) -> list[Row]:
    """Time whole processes; the first is not counted."""
    with TemporaryDirectory() as folder:
        times = [_demo(Path(folder)) for _ in range(1 + repeats)][1:]
    note = f"headless, on the rig in software; median of {repeats}"
    return [
        Row(
            what=f"demo, second start: {until}",
            bar=BAR_S,
            measured=median(column),
            unit="s",
            note=note,
        )
        for until, column in zip(
            ("to the verdict", "to the end, pictures and files written"),
            zip(*times, strict=True),
            strict=True,
        )
    ]


def _demo(folder: Path) -> tuple[float, float]:
    command = [sys.executable, "-u", "-m", "app", "demo", "--headless", "--out", str(folder)]
    started = time.perf_counter()
    told = 0.0
    with subprocess.Popen(
        command, cwd=_ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        for line in process.stdout or ():
            if not told and "verdict" in line:
                told = time.perf_counter() - started
    return told, time.perf_counter() - started
