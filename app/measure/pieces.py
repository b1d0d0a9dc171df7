"""What a block of frequencies came to for every unit, and which blocks must be judged anew."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.measure.held_columns import Columns, Side
from app.measure.room_jobs import DoubtfulJob, Job, PlainJob, room_to
from dsp import Floats
from dsp.later import Later

Limits = tuple[Floats, Floats]  # upper and lower ones
# As far as limits that were moved as a whole may seem to change their course by rounding.
_SAME_COURSE = 1e-12
SIDES: tuple[Side, Side] = ("upper", "lower")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Near:
    """How near units come to one limit in a block in which all was measured.

    Attributes
    ----------
    limits : bytes
        What it is there, to the last bit.
    level : float or None
        What it is all over the block; None where it is not the same everywhere.
    values : (units,) array
        What lies nearest to a level limit; the room to any other, as in PlainJob. NaN where a unit
        is not judged. Taking out a level changes neither.
    wider : float
        By how much more room it leaves where it runs beside the one that was judged.
    """

    limits: bytes
    level: float | None
    values: Floats
    wider: float = 0.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Plain:
    """A block in which all was measured, and no guard band counts."""

    upper: Near
    lower: Near

    def side(self, side: Side) -> Near:
        """Return what was found of one limit."""
        return self.upper if side == "upper" else self.lower


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Doubtful:
    """Any other block.

    Attributes
    ----------
    limits : bytes
        Upper and lower ones, to the last bit.
    surely, known, at_best : (units,) array
        As in DoubtfulJob, with the level taken out.
    """

    limits: bytes
    surely: Floats
    known: Floats
    at_best: Floats


Piece = Plain | Doubtful


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cut:
    """Columns and limits cut into blocks, with the pieces that may hold on."""

    columns: Columns
    limits: Limits
    known: Sequence[Piece | None]

    def pieces(self, *, offset: Floats, guard: float, jobs: list[Job]) -> tuple[Piece, ...]:
        """Return a piece for each block: one known under the same limits, or new with a job."""
        blocks = range(len(self.known))
        plain = [block for block in blocks if self.columns.measured[block] and guard == 0]
        near = self._near(plain, units=offset.size, jobs=jobs)
        found: dict[int, Piece] = {
            block: Plain(upper=near[block, "upper"], lower=near[block, "lower"]) for block in plain
        }
        others = [block for block in blocks if block not in found]
        found |= self._doubtful(others, offset=offset, guard=guard, jobs=jobs)
        return tuple(found[block] for block in blocks)

    def _near(
        self, blocks: list[int], *, units: int, jobs: list[Job]
    ) -> dict[tuple[int, Side], Near]:
        limits = dict(zip(SIDES, self.limits, strict=True))
        found: dict[tuple[int, Side], Near] = {}
        new: list[tuple[int, Side]] = []
        for block, side in itertools.product(blocks, SIDES):
            there, old = limits[side][self.columns.rows(block)], self.known[block]
            was = old.side(side) if isinstance(old, Plain) else None
            if was is not None and was.limits == there.tobytes():
                found[block, side] = was
            elif (there == there[0]).all():
                values, level = self.columns.farthest(block, side=side), float(there[0])
                found[block, side] = Near(limits=there.tobytes(), level=level, values=values)
            elif (moved := self._moved(there, block=block, side=side)) is not None:
                found[block, side] = moved
            else:
                new.append((block, side))
        if new:
            room = np.empty((len(new), units))
            jobs.append(PlainJob(columns=self.columns, asked=tuple(new), limits=limits, room=room))
            for (block, side), values in zip(new, room, strict=True):
                there = limits[side][self.columns.rows(block)]
                found[block, side] = Near(limits=there.tobytes(), level=None, values=values)
        return found

    def _moved(self, limits: Floats, *, block: int, side: Side) -> Near | None:
        """Return what a limit comes to that has the course of the one judged last, moved."""
        last = self.columns.judged(block, side=side)
        if last is None:
            return None
        base, room = last
        finite = np.isfinite(limits)
        if not np.array_equal(finite, np.isfinite(base)):
            return None
        by = limits[finite] - base[finite]
        if np.ptp(by) > _SAME_COURSE:
            return None
        wider = float(by[0]) if side == "upper" else -float(by[0])
        return Near(limits=limits.tobytes(), level=None, values=room, wider=wider)

    def _doubtful(
        self, blocks: list[int], *, offset: Floats, guard: float, jobs: list[Job]
    ) -> dict[int, Piece]:
        upper, lower = self.limits
        found: dict[int, Piece] = {}
        keys = {}
        for block in blocks:
            rows, old = self.columns.rows(block), self.known[block]
            keys[block] = upper[rows].tobytes() + lower[rows].tobytes()
            if isinstance(old, Doubtful) and old.limits == keys[block]:
                found[block] = old
        new = [block for block in blocks if block not in found]
        if new:
            surely, known, at_best = np.empty((3, len(new), offset.size))
            jobs.append(
                DoubtfulJob(
                    columns=self.columns,
                    blocks=np.array(new),
                    limits=self.limits,
                    offset=offset,
                    guard=guard,
                    surely=surely,
                    known=known,
                    at_best=at_best,
                )
            )
            for row, block in enumerate(new):
                found[block] = Doubtful(
                    limits=keys[block], surely=surely[row], known=known[row], at_best=at_best[row]
                )
        return found


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Kept:
    """What holds on from one step of a hand to the next: joined once, not at every step.

    Attributes
    ----------
    nears : tuple of Near
        Of one limit.
    least : Later of (units,) array
        The least room that they leave.
    """

    nears: tuple[Near, ...]
    least: Later[Floats]

    @classmethod
    def none(cls, size: int) -> "Kept":
        """Return nothing, of so many units."""
        return cls(nears=(), least=Later(lambda: np.full(size, np.inf)))

    def again(self, nears: Sequence[Near], *, side: Side, size: int) -> "Kept":
        """Return what holds on now: itself where that is the same."""
        those = tuple(nears)
        if those == self.nears:  # of the same objects: nothing has to be joined anew
            return self
        nothing = np.full(size, np.inf)
        return Kept(nears=those, least=Later(lambda: _least(those, side=side, beside=nothing)))

    def joined(self, nears: Sequence[Near], *, side: Side) -> Floats:
        """Return the least room that these leave, (units,), those that are kept among them."""
        known = {id(one) for one in self.nears}
        new = [one for one in nears if id(one) not in known]
        return _least(new, side=side, beside=self.least())


def _least(nears: Sequence[Near], *, side: Side, beside: Floats) -> Floats:
    least, room = beside.copy(), np.empty(beside.shape)
    for near in nears:
        found = near.values
        if near.level is not None:
            if np.isinf(near.level):
                continue
            found = room_to(near.level, values=near.values, side=side, out=room)
        elif near.wider:
            found = np.add(near.values, near.wider, out=room)
        np.fmin(least, found, out=least)
    return least
