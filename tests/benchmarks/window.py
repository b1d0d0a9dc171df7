"""How soon the window is seen, and how long its event loop ever stands still."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.benchmarks.row import Row

_PAINT_BAR_S = 0.5
_BLOCK_BAR_MS = 50.0
_ROOT = Path(__file__).parents[2]


def window(*, repeats: int) -> list[Row]:
    """Time whole processes, painted into memory; what Python compiles is compiled before."""
    with TemporaryDirectory() as folder:
        return [
            _first_paint(Path(folder), repeats=repeats),
            *_blocks(Path(folder), repeats=repeats),
        ]


def _first_paint(folder: Path, *, repeats: int) -> Row:
    times = [_painted_after_s(folder) for _ in range(1 + repeats)][1:]
    return Row(
        what="window, first paint",
        bar=_PAINT_BAR_S,
        measured=median(times),
        unit="s",
        note=f"whole process, painted into memory; median of {repeats}",
    )


def _painted_after_s(folder: Path) -> float:
    started = time.time()
    return float(_run("tests.benchmarks.first_paint_child", folder)) - started


def _blocks(folder: Path, *, repeats: int) -> list[Row]:
    runs = [json.loads(_run("tests.benchmarks.event_loop_child", folder)) for _ in range(repeats)]
    return [
        Row(
            what=f"longest block of the event loop: {during}",
            bar=_BLOCK_BAR_MS,
            measured=median(run[during] for run in runs),
            unit="ms",
            note=f"on the rig in software, in real time; median of {repeats}, "
            f"largest {max(run[during] for run in runs):.0f} ms",
        )
        for during in runs[0]
    ]


def _run(module: str, folder: Path) -> str:
    homes = {f"XDG_{kind}_HOME": str(folder) for kind in ("CONFIG", "DATA", "STATE")}
    surroundings = os.environ | homes | {"QT_QPA_PLATFORM": "offscreen"}
    surroundings |= {"PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", module]
    done = subprocess.run(
        command, cwd=_ROOT, env=surroundings, capture_output=True, text=True, check=True
    )
    return done.stdout
