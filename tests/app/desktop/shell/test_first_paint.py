"""What the window paints with: nothing slow is imported before it is on the screen."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[4]
SLOW = {
    "typer",
    "pydantic",
    "numpy",
    "scipy",
    "numba",
    "sqlalchemy",
    "alembic",
    "pyqtgraph",
    "matplotlib",
    "soundfile",
}

# Stands for a person who types `dustcap desktop`: stops at the first paint, tells what is there.
CHILD = """
import json, sys
from app.cli.entry import main
from app.desktop.strip.chain_strip import ChainStrip
paint = ChainStrip.paintEvent
def told(self, event):
    paint(self, event)
    print(json.dumps(sorted({name.split(".")[0] for name in sys.modules})), flush=True)
    import os
    os._exit(0)
ChainStrip.paintEvent = told
main(["desktop"])
"""


def test_it_paints_before_anything_slow_is_imported(tmp_path: Path) -> None:
    homes = {f"XDG_{kind}_HOME": str(tmp_path) for kind in ("CONFIG", "DATA", "STATE")}
    surroundings = os.environ | homes | {"QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", CHILD],
        cwd=ROOT,
        env=surroundings,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert not SLOW & set(json.loads(done.stdout))
