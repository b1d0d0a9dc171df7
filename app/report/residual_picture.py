"""The picture of a residual: what was heard over what was played, as levels."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from app.report.axes import head
from app.report.ink import INK2
from app.report.save_picture import save_picture, small_print
from dsp import Floats
from dsp.defects.residual_map import ResidualMap

if TYPE_CHECKING:
    from matplotlib.figure import Figure, SubFigure

_HEIGHT_IN = 3.9
_SPAN_DB = 60.0
_STEP_DB = 10
_HEARD_HZ = (1000, 2000, 5000, 10_000)
_PLAYED_HZ = (20, 50, 100, 200, 500, 1000, 2000)


def draw_residual(found: ResidualMap, *, path: Path, words: str) -> tuple[Path, Path]:
    """Draw a map as PNG and SVG; ``path`` has no suffix, ``words`` stand below."""
    return save_picture(
        lambda figure: _whole(figure, found),
        path,
        height_in=_HEIGHT_IN,
        foot=lambda figure: small_print(figure, words),
    )


def _whole(figure: "Figure", found: ResidualMap) -> None:
    draw_residual_map(figure, found)
    figure.subplots_adjust(bottom=0.17, left=0.09)


def draw_residual_map(figure: "Figure | SubFigure", found: ResidualMap) -> None:
    """Draw levels over what was played and what was heard, with their scale."""
    axis = figure.add_subplot()
    how = "in sixth octaves over 20 ms" if found.is_swept else "in sixth octaves"
    head(axis, "Residual", f"dB re 20 µPa {how}")
    top = float(_STEP_DB * np.ceil(np.max(found.level_db) / _STEP_DB))
    rows = _edges(found.heard_hz)
    if found.is_swept:
        columns = _edges(found.drive_hz)
        axis.set_xscale("log")
        axis.set_xlabel("Hz played", fontsize=7.5, color=INK2)
        shown = [hz for hz in _PLAYED_HZ if columns[0] <= hz <= columns[-1]]
        axis.set_xticks(shown, [f"{hz:g}" for hz in shown])
        axis.set_xticks([], minor=True)
    else:  # single tones stand side by side: nothing was played between them
        columns = np.arange(found.drive_hz.size + 1, dtype=np.float64) - 0.5
        axis.set_xlabel("Hz played, tones", fontsize=7.5, color=INK2)
        axis.set_xticks(range(found.drive_hz.size), [f"{hz:g}" for hz in found.drive_hz])
    mesh = axis.pcolormesh(
        columns,
        rows,
        found.level_db,
        cmap="cividis",
        vmin=top - _SPAN_DB,
        vmax=top,
        rasterized=True,
    )
    axis.set_yscale("log")
    axis.set_ylim(rows[0], rows[-1])
    axis.set_yticks(_HEARD_HZ, [f"{hz // 1000}k" for hz in _HEARD_HZ])
    axis.set_yticks([], minor=True)
    axis.set_ylabel("Hz heard", fontsize=7.5, color=INK2)
    scale = figure.colorbar(mesh, ax=axis, pad=0.02, fraction=0.06, aspect=30)
    scale.set_ticks(np.arange(top - _SPAN_DB, top + 1, _STEP_DB).tolist())
    scale.outline.set_visible(False)


def _edges(middles: Floats) -> Floats:
    """Return the borders of cells whose middles rise evenly over log f."""
    log = np.log(middles)
    between = (log[1:] + log[:-1]) / 2
    first, last = 2 * log[0] - between[0], 2 * log[-1] - between[-1]
    edges: Floats = np.exp(np.concatenate([[first], between, [last]]))
    return edges
