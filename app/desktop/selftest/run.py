"""``dustcap desktop --selftest DIR``: three stories and a picture of everything."""

import os
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.desktop.selftest.engineer import tell_engineer
from app.desktop.selftest.hands import Hands, StoryBrokeError
from app.desktop.selftest.pictures import take_pictures
from app.desktop.selftest.quality import tell_quality
from app.desktop.selftest.stage import Stage, stage
from app.desktop.selftest.technician import tell_technician
from app.desktop.style import dress

Story = Callable[[Hands, Stage], None]

# What each is told on: a shipped procedure, how many units were measured before.
STORIES: tuple[tuple[str, Story, str, int], ...] = (
    ("engineer on a baffle", tell_engineer, "baffle-sweep", 3),
    ("technician at the chain", tell_technician, "line-check", 2),
    ("quality lead at limits and line", tell_quality, "line-check", 24),
)
_PICTURED = ("line-check", 24)
_BROKE = 3


def run_selftest(app: QApplication, folder: Path) -> int:
    """Tell every story, take every picture, and say what went wrong.

    Parameters
    ----------
    app : QApplication
        Not yet dressed.
    folder : Path
        Made where it is not there; what stories write lies below it, pictures beside.

    Returns
    -------
    int, 0 where every story came to its end and nothing failed on the way.
    """
    # What the window remembers of its person stays as it is.
    os.environ["XDG_CONFIG_HOME"] = str(folder / "settings")
    app.setAttribute(Qt.ApplicationAttribute.AA_DontUseNativeDialogs)
    dress(app, dark=None)
    folder.mkdir(parents=True, exist_ok=True)
    told: list[str] = []

    def tell(line: str) -> None:
        told.append(line)
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()

    hands, broke = Hands(tell), False
    for name, story, procedure, units in STORIES:
        tell(name)
        place = folder / story.__name__.removeprefix("tell_")
        with stage(place, procedure=procedure, units=units, real_time=True) as here:
            broke |= _is_broken(partial(story, hands, here), here, tell=tell)
    tell("pictures")
    procedure, units = _PICTURED
    with stage(folder / "pictured", procedure=procedure, units=units, real_time=False) as here:
        broke |= _is_broken(lambda: _take(hands, here, folder=folder, tell=tell), here, tell=tell)
    (folder / "selftest.txt").write_text("\n".join(told) + "\n", encoding="utf-8")
    return _BROKE if broke else 0


def _take(hands: Hands, here: Stage, *, folder: Path, tell: Callable[[str], None]) -> None:
    made = take_pictures(hands, here, folder=folder)
    tell(f"  {len(made)} in {folder}")


def _is_broken(play: Callable[[], None], here: Stage, *, tell: Callable[[str], None]) -> bool:
    try:
        play()
    except StoryBrokeError as error:
        tell(f"  BROKE: {error}")
        here.window.grab().save(str(here.folder / "broke.png"))
        return True
    for defect in here.defects:
        tell(f"  BROKE: {defect}")
    return bool(here.defects)
