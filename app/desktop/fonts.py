"""The one typeface of the window, which comes with it."""

from functools import cache
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase

_FOLDER = Path(__file__).with_name("fonts")
# B612 is drawn for cockpit screens: open counters, figures of one width.
FAMILIES = ("B612", "DejaVu Sans")


@cache
def load_fonts() -> None:
    """Make B612 known to Qt; without it the next family of the list is taken."""
    for file in sorted(_FOLDER.glob("*.otf")):
        QFontDatabase.addApplicationFont(str(file))


def font(px: float, *, bold: bool = False) -> QFont:
    """Return the window's font, ``px`` high at a scale of 100 %."""
    return QFont(_made(max(1, round(px)), bold))


@cache
def _made(px: int, bold: bool) -> QFont:  # noqa: FBT001
    made = QFont()
    made.setFamilies([*FAMILIES, made.defaultFamily()])
    made.setPixelSize(px)
    made.setBold(bold)
    return made
