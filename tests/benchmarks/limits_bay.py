"""How soon the Limits bay stands with a large lot, and how soon it follows a hand."""

import json
import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from tests.benchmarks.full_lot import CURVES, POINTS, UNITS, fill_lot
from tests.benchmarks.row import Row

_OPEN_S, _FRAME_MS, _BLOCK_MS = 2.0, 16.0, 50.0
_ROOT = Path(__file__).parents[2]


def limits_bay(*, repeats: int, steps: int) -> list[Row]:
    """Time whole processes, painted into memory; the window stands when the bay is entered."""
    with TemporaryDirectory(prefix="dustcap-lot-") as folder:
        place = Path(folder) / "records.sqlite"
        fill_lot(place, units=UNITS, points=POINTS)
        runs = [_run(place, steps=steps) for _ in range(1 + repeats)][1:]
    drags = [one for run in runs for one in run["drag_ms"]]
    return [
        Row(
            what=f"open the Limits bay with {UNITS} units, {len(CURVES)} masks of {POINTS} points",
            bar=_OPEN_S,
            measured=median(run["opened_s"] for run in runs),
            unit="s",
            note=f"until all is painted, a process each; median of {repeats}",
        ),
        Row(
            what="the same, a dragged point: from the hand until all is painted",
            bar=_FRAME_MS,
            measured=median(drags),
            unit="ms",
            note=f"1920 × 916 px; median of {len(drags)}, slowest {max(drags):.0f} ms",
        ),
        *(_block(runs, during=during) for during in runs[0]["blocks_ms"]),
    ]


def _block(runs: list[dict[str, Any]], *, during: str) -> Row:
    blocks = [run["blocks_ms"][during] for run in runs]
    return Row(
        what=f"longest block of the event loop: {during}",
        bar=_BLOCK_MS,
        measured=median(blocks),
        unit="ms",
        note=f"{UNITS} units; median of {len(runs)}, largest {max(blocks):.0f} ms",
    )


def _run(place: Path, *, steps: int) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.benchmarks.limits_bay_child", str(place), str(steps)]
    surroundings = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        command, cwd=_ROOT, env=surroundings, capture_output=True, text=True, check=True
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found
