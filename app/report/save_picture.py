"""One picture as PNG and SVG, on the page that all pictures share."""

from pathlib import Path
from typing import TYPE_CHECKING

from app.report.atomic import atomic_path
from app.report.ink import INK3, RC

if TYPE_CHECKING:
    from collections.abc import Callable

    from matplotlib.figure import Figure

WIDTH_IN = 7.4


def save_picture(
    draw: "Callable[[Figure], None]",
    path: Path,
    *,
    height_in: float,
    foot: "Callable[[Figure], None]",
) -> tuple[Path, Path]:
    """Draw a picture and its foot, and write both files.

    Parameters
    ----------
    draw, foot : function of a figure
        What fills it, and the small print below.
    path : Path
        Without a suffix; its folder is made.
    height_in : float
        Inches.

    Returns
    -------
    (Path, Path), PNG and SVG.
    """
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context(RC):  # type: ignore[arg-type]  # its own keys, as plain strings
        figure = Figure(figsize=(WIDTH_IN, height_in), facecolor="white")
        margin = {"top": 1 - 0.35 / height_in, "bottom": 0.35 / height_in}
        figure.subplots_adjust(left=0.065, right=0.935, **margin)
        draw(figure)
        foot(figure)
        return _saved(figure, path, ".png"), _saved(figure, path, ".svg")


def small_print(figure: "Figure", words: str) -> None:
    """Write a line below what is drawn."""
    figure.text(0.065, 0.012, words, fontsize=6.5, color=INK3)


def _saved(figure: "Figure", path: Path, suffix: str) -> Path:
    # No date and no program version in the file: the same take draws the same bytes.
    metadata = {"Date": None} if suffix == ".svg" else {"Software": None}
    whole = path.with_name(path.name + suffix)
    with atomic_path(whole) as part:
        figure.savefig(part, format=suffix[1:], dpi=200, metadata=metadata)
    return whole
