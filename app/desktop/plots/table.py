"""What plots show as text: a row a frequency, a column a curve, parted by tabs.

A value has the places that two digits of its interval justify (JCGM 100:2008, 7.2.6).
"""

from collections.abc import Iterable, Iterator, Sequence
from math import isfinite
from typing import Protocol

import numpy as np

from app.desktop.plots.line import PlotLine
from dsp.arrays import Floats, Ints

_PLACES = {"dB": 2, "°": 1}  # where no interval is known
_BARE_DIGITS = 4  # likewise, in any other unit


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

    def unit_of(self, line: PlotLine) -> str:
        """Return the short unit of one of them."""
        ...


def table_of(plots: Iterable[Shown], *, first: str = "Frequency, Hz") -> str:
    """Return all curves of plots; a cell stays empty where a curve has no point of its own.

    ``first`` is the head of the first column.
    """
    plots = list(plots)
    columns = list(_columns(plots))
    places = np.unique(np.concatenate([np.empty(0), *(line.x for line in _lines(plots))]))
    rows = ["\t".join([first, *(name for name, _, _ in columns)])]
    cells = [_cells(places, x, written) for _, x, written in columns]
    rows += [
        "\t".join([f"{hz:#.6g}", *(column[row] for column in cells)])
        for row, hz in enumerate(places)
    ]
    return "\n".join(rows) + "\n"


def _lines(plots: Iterable[Shown]) -> Iterator[PlotLine]:
    for plot in plots:
        yield from plot.lines


def _columns(plots: Iterable[Shown]) -> Iterator[tuple[str, Floats, list[str]]]:
    for plot in plots:
        for line in plot.lines:
            unit = plot.unit_of(line)
            name, end = f"{plot.title}, {line.name}", f", {unit}" if unit else ""
            places = _places(line, unit=unit)
            yield name + end, line.x, _written(line.y, places=places)
            if line.interval is not None:
                yield f"{name}, interval{end}", line.x, _written(line.interval, places=places)


def _places(line: PlotLine, *, unit: str) -> Ints:
    """Return how many decimals each point deserves, (n,); below 0 where tens say too much."""
    if unit in _PLACES:
        bare = np.full(line.y.shape, _PLACES[unit])
    else:
        bare = _decimals(np.abs(line.y), digits=_BARE_DIGITS)
    if line.interval is None:
        return bare
    known = np.isfinite(line.interval) & (line.interval > 0)
    return np.where(known, _decimals(line.interval, digits=2), bare)


def _decimals(scale: Floats, *, digits: int) -> Ints:
    """Return the decimals of so many digits, point by point, as ``rounding.decimals`` does."""
    usable = np.isfinite(scale) & (scale > 0)
    exponents = np.floor(np.log10(np.where(usable, scale, 1.0)))
    return digits - 1 - exponents.astype(np.int64)


def _written(values: Floats, *, places: Ints) -> list[str]:
    """Write figures with a plain hyphen: this goes into other programs."""
    return [
        f"{round(value, place) + 0.0:.{max(0, place)}f}" if isfinite(value) else ""  # no "-0"
        for value, place in zip(values.tolist(), places.tolist(), strict=True)
    ]


def _cells(places: Floats, x: Floats, written: list[str]) -> list[str]:
    cells = [""] * places.size
    for row, text in zip(np.searchsorted(places, x), written, strict=True):
        cells[int(row)] = text
    return cells
