"""What plots show as text: a row a frequency, a column a curve, parted by tabs."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

import numpy as np

from app.desktop.plots.line import PlotLine
from dsp.arrays import Floats


class Shown(Protocol):
    """A plot with curves."""

    @property
    def title(self) -> str:
        """What is shown."""
        ...

    @property
    def lines(self) -> Sequence[PlotLine]:
        """The curves."""
        ...


def table_of(plots: Iterable[Shown], *, first: str = "Frequency, Hz") -> str:
    """Return all curves of plots; a cell stays empty where a curve has no point of its own.

    ``first`` is the head of the first column.
    """
    plots = list(plots)
    columns = list(_columns(plots))
    places = np.unique(np.concatenate([np.empty(0), *(line.x for line in _lines(plots))]))
    rows = ["\t".join([first, *(name for name, _, _ in columns)])]
    cells = [_cells(places, x, y) for _, x, y in columns]
    rows += [
        "\t".join([f"{hz:.6g}", *(column[row] for column in cells)])
        for row, hz in enumerate(places)
    ]
    return "\n".join(rows) + "\n"


def _lines(plots: Iterable[Shown]) -> Iterator[PlotLine]:
    for plot in plots:
        yield from plot.lines


def _columns(plots: Iterable[Shown]) -> Iterator[tuple[str, Floats, Floats]]:
    for plot in plots:
        for line in plot.lines:
            name = f"{plot.title}, {line.name}" + (f", {line.unit}" if line.unit else "")
            yield name, line.x, line.y
            if line.interval is not None:
                yield f"{name}, interval", line.x, line.interval


def _cells(places: Floats, x: Floats, y: Floats) -> list[str]:
    cells = [""] * places.size
    for row, value in zip(np.searchsorted(places, x), y, strict=True):
        # A plain hyphen: this goes into other programs.
        cells[int(row)] = f"{value:.6g}" if np.isfinite(value) else ""
    return cells
