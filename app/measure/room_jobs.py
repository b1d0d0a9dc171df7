"""Distances of many units to their limits, some blocks of frequencies at a time."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.measure.held_columns import Columns, Side
from dsp import Floats, Ints

_PLACES = 6  # arrays that ``distances`` works in


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlainJob:
    """Blocks in which all was measured, under a limit that no guard band belongs to.

    Attributes
    ----------
    columns : Columns
        Where they are.
    asked : tuple of m pairs of int and Side
        Which block, under which limit; both of one block in turn, while it is at hand.
    limits : mapping of Side to (n,) array
        Of all rows; infinite where there is none.
    room : (m, units) array
        For the answers: the least distance in each block, positive inside; NaN where a unit is
        judged nowhere.
    """

    columns: Columns
    asked: tuple[tuple[int, Side], ...]
    limits: Mapping[Side, Floats]
    room: Floats

    @property
    def units(self) -> int:
        """How many units it is about."""
        units: int = self.room.shape[1]
        return units

    @property
    def size(self) -> int:
        """How many values are looked at, about."""
        return self.room.size * self.columns.width

    def run(self, *, begin: int, end: int) -> None:
        """Judge the blocks for some of the units."""
        room = np.empty((self.columns.width, end - begin))
        for row, (block, side) in enumerate(self.asked):
            rows = self.columns.rows(block)
            values, limits = self.columns.least[rows, begin:end], self.limits[side][rows]
            there = room[: limits.size]
            found = room_to(limits[:, np.newaxis], values=values, side=side, out=there)
            # NaN, where a unit is not judged, loses every comparison.
            np.fmin.reduce(found, axis=0, out=self.room[row, begin:end])

    def done(self) -> None:
        """Have the columns remember what was found, once it is there for all units."""
        for (block, side), room in zip(self.asked, self.room, strict=True):
            limits = self.limits[side][self.columns.rows(block)]
            self.columns.remember(block, side=side, limits=limits, room=room)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DoubtfulJob:
    """Blocks in which values may be bounds or missing, or a guard band counts.

    Attributes
    ----------
    columns
        As in PlainJob.
    blocks : (m,) int array
        Which.
    limits : pair of (n,) array
        Upper and lower ones of all rows; infinite where there is none, both: nobody is judged
        there.
    offset : (units,) array
        What is taken out of the level.
    guard : float
        Width of the guard band, times the expanded uncertainty.
    surely, known, at_best : (m, units) array
        For the answers: the least room that surely is left within the guard band; the least room
        that is known; and, where a unit surely lies outside by a guard band, how far it does.
        Infinite where there is none.
    """

    columns: Columns
    blocks: Ints
    limits: tuple[Floats, Floats]
    offset: Floats
    guard: float
    surely: Floats
    known: Floats
    at_best: Floats

    @property
    def units(self) -> int:
        """How many units it is about."""
        units: int = self.surely.shape[1]
        return units

    @property
    def size(self) -> int:
        """How many values are looked at, about; each takes longer than a plain one."""
        return 2 * self.surely.size * self.columns.width

    def run(self, *, begin: int, end: int) -> None:
        """Judge the blocks for some of the units."""
        columns, offset = self.columns, self.offset[begin:end]
        room = np.empty((_PLACES, columns.width, end - begin))
        for row, block in enumerate(self.blocks.tolist()):
            rows = columns.rows(block)
            found = distances(
                columns.least[rows, begin:end],
                None if columns.measured[block] else columns.most[rows, begin:end],
                columns.uncertainty[rows, begin:end] if self.guard else None,
                limits=(self.limits[0][rows], self.limits[1][rows]),
                offset=offset if offset.any() else None,
                guard=self.guard,
                room=room,
            )
            # NaN, where a unit is not judged, loses every comparison.
            surely, known, at_best = (
                one[row, begin:end] for one in (self.surely, self.known, self.at_best)
            )
            np.fmin.reduce(found.surely, axis=0, out=surely, initial=np.inf)
            np.fmin.reduce(found.known, axis=0, out=known, initial=np.inf)
            best = known
            if found.best is not found.known:
                best = np.fmin.reduce(found.best, axis=0, initial=np.inf)
            failing = np.flatnonzero(best < 0)
            at_best.fill(np.inf)
            at_best[failing] = found.outside(failing).min(axis=0, initial=np.inf)

    def done(self) -> None:
        """Nothing is remembered: it holds for one guard band and one level alone."""


Job = PlainJob | DoubtfulJob


def room_to(limits: Floats | float, *, values: Floats, side: Side, out: Floats) -> Floats:
    """Return how far values lie from their limits, positive inside; it is written to ``out``."""
    if side == "upper":
        return np.subtract(limits, values, out=out)
    return np.subtract(values, limits, out=out)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Distances:
    """Room of units at each place, (n, units) each; NaN where not judged.

    Attributes
    ----------
    surely, known
        As in DoubtfulJob.
    best
        What room there may be at most; ``known`` itself where all was measured.
    width
        Of the guard band; None: there is none.
    """

    surely: Floats
    known: Floats
    best: Floats
    width: Floats | None

    def outside(self, units: Ints) -> Floats:
        """Return how far some units surely lie outside by the guard band, infinite elsewhere."""
        best = self.best[:, units]
        fails = best < 0
        if self.width is not None:
            fails &= best <= -self.width[:, units]
        return np.where(fails, best, np.inf)


@np.errstate(invalid="ignore")  # infinite limit less infinite value: no distance
def distances(
    least: Floats,
    most: Floats | None,
    uncertainty: Floats | None,
    *,
    limits: tuple[Floats, Floats],
    offset: Floats | None,
    guard: float,
    room: Floats | None = None,
) -> Distances:
    """Hold units against limits at each place; the rule is that of ``decide``.

    Parameters
    ----------
    least, most : (n, units) array
        As in Deviation; NaN where a unit is not judged. ``most`` is None where all was measured.
    uncertainty : (n, units) array or None
        Expanded, k = 2; infinite where not known, for a guard band of unknown width decides
        nothing; None without a guard band.
    limits : pair of (n,) array
        Upper and lower ones; infinite where there is none.
    offset : (units,) array or None
        What is taken out of the level; None: nothing.
    guard : float
        Width of the guard band, times the uncertainty.
    room : (6, n or more, units) array or None
        Memory to work in: the answer lies in it, too. New memory takes longer than the arithmetic.

    Returns
    -------
    Distances
    """
    room = np.empty((_PLACES, *least.shape)) if room is None else room[:, : least.shape[0]]
    surely, known, best, spare, low, high = room
    if offset is not None:
        least = np.subtract(least, offset, out=low)
        most = None if most is None else np.subtract(most, offset, out=high)
    upper, lower = (one[:, np.newaxis] for one in limits)

    def nearest(below: Floats, above: Floats, out: Floats) -> Floats:
        np.subtract(upper, above, out=out)
        np.fmin(out, np.subtract(below, lower, out=spare), out=out)
        return out

    if most is None:
        known = best = surely = nearest(least, least, known)
    else:
        best = nearest(most, least, best)
        surely = nearest(least, most, surely)
        np.copyto(known, surely)
        known[np.isneginf(known)] = np.inf
    width = None
    if uncertainty is not None:
        width = np.multiply(uncertainty, guard, out=spare)
        surely = np.subtract(surely, width, out=room[0])
    return Distances(surely=surely, known=known, best=best, width=width)
