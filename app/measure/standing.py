"""How units stand against one pair of limits, kept in pieces so that little is judged anew."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.measure.held_columns import HeldColumns
from app.measure.pieces import SIDES, Cut, Doubtful, Kept, Limits, Piece, Plain
from app.measure.room_jobs import Job, distances
from dsp import Bools, Floats, read_only
from dsp.conformity.mask import MaskLines
from dsp.conformity.places import SAME


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Standing:
    """Units of a set under one pair of limits.

    Attributes
    ----------
    held : HeldColumns
        The units.
    breaks_hz : (m,) array
        Hz, the points of the limits.
    guard : float
        Of the mask.
    offset : (units,) array
        What the level was aligned by; NaN where it could not be.
    own_limits, breaks_limits : pair of (n,) and (m,) array
        Upper and lower ones at the set's own frequencies, and at the points of the limits.
    own : tuple of Piece
        A block of the set's own frequencies each.
    breaks : tuple of Piece
        A point of the limits each.
    kept : pair of Kept
        Of upper and lower limit what was taken over from the standing before.
    """

    held: HeldColumns
    breaks_hz: Floats
    guard: float
    offset: Floats
    own_limits: Limits
    breaks_limits: Limits
    own: tuple[Piece, ...]
    breaks: tuple[Piece, ...]
    kept: tuple[Kept, Kept]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Outcome:
    """What follows for each unit of a set, (units,) each; the rule is that of ``judge_curve``."""

    fails: Bools
    conforms: Bools
    margin: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Plan:
    """A standing whose pieces are new, or taken over; the new ones have still to be judged."""

    standing: Standing
    jobs: tuple[Job, ...]


def plan(
    held: HeldColumns,
    *,
    lines: MaskLines,
    guard: float,
    offset: Floats,
    before: Standing | None,
) -> Plan:
    """Work out which pieces must be judged.

    Parameters
    ----------
    held : HeldColumns
        The units.
    lines : MaskLines
        The limits.
    guard : float
        Of the mask.
    offset : (units,) array
        To take out of the level.
    before : Standing or None
        Of the same units; its pieces hold on where limits are the same, doubtful ones only where
        guard and offset are, too.

    Returns
    -------
    Plan
    """
    if before is not None and before.held is not held:
        before = None
    hz = lines.break_hz
    own_known: Sequence[Piece | None] = [None] * len(held.own.measured)
    breaks_known: Sequence[Piece | None] = [None] * hz.size
    if before is not None:
        old = dict(zip(before.breaks_hz.tolist(), before.breaks, strict=True))
        own_known, breaks_known = before.own, [old.get(one) for one in hz.tolist()]
        if before.guard != guard or not np.array_equal(before.offset, offset, equal_nan=True):
            own_known, breaks_known = _plain(own_known), _plain(breaks_known)
    own_limits, breaks_limits = _at_own(lines, held=held), (lines.upper_at(hz), lines.lower_at(hz))
    own = Cut(columns=held.own, limits=own_limits, known=own_known)
    breaks = Cut(columns=held.at(hz), limits=breaks_limits, known=breaks_known)
    jobs: list[Job] = []
    own_pieces = own.pieces(offset=offset, guard=guard, jobs=jobs)
    breaks_pieces = breaks.pieces(offset=offset, guard=guard, jobs=jobs)
    standing = Standing(
        held=held,
        breaks_hz=hz,
        guard=guard,
        offset=offset,
        own_limits=own_limits,
        breaks_limits=breaks_limits,
        own=own_pieces,
        breaks=breaks_pieces,
        kept=_kept((*own_pieces, *breaks_pieces), size=offset.size, before=before),
    )
    return Plan(standing=standing, jobs=tuple(jobs))


def _kept(pieces: Sequence[Piece], *, size: int, before: Standing | None) -> tuple[Kept, Kept]:
    found = []
    for number, side in enumerate(SIDES):
        old = Kept.none(size) if before is None else before.kept[number]
        of_before = () if before is None else (*before.own, *before.breaks)
        known = {id(one.side(side)) for one in of_before if isinstance(one, Plain)}
        nears = [one.side(side) for one in pieces if isinstance(one, Plain)]
        found.append(old.again([one for one in nears if id(one) in known], side=side, size=size))
    return found[0], found[1]


def _plain(known: Sequence[Piece | None]) -> list[Piece | None]:
    return [piece if isinstance(piece, Plain) else None for piece in known]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rooms:
    """The least room that units have under their limits, (units,) each, as in DoubtfulJob.

    ``covered`` tells which units can show all that the limits ask for.
    """

    surely: Floats
    known: Floats
    at_best: Floats
    covered: Bools


def rooms(standing: Standing) -> Rooms:
    """Join the pieces, once they are judged."""
    pieces = (*standing.own, *standing.breaks)
    plain = [one for one in pieces if isinstance(one, Plain)]
    upper, lower = (
        kept.joined([one.side(side) for one in plain], side=side)
        for kept, side in zip(standing.kept, SIDES, strict=True)
    )
    # Taken out at the end instead of from every value; a level that is not known judges nothing.
    room = np.fmin(np.fmin(upper + standing.offset, lower - standing.offset), np.inf)
    surely = known = at_best = room
    doubtful = [one for one in pieces if isinstance(one, Doubtful)]
    if doubtful:
        surely = _least([room, *(one.surely for one in doubtful)], size=room.size)
        known = _least([room, *(one.known for one in doubtful)], size=room.size)
        at_best = _least([room, *(one.at_best for one in doubtful)], size=room.size)
    return Rooms(surely=surely, known=known, at_best=at_best, covered=~_gap(standing))


def outcome(standing: Standing) -> Outcome:
    """Decide, once the pieces are judged."""
    found = rooms(standing)
    judged = found.surely < np.inf
    fails = (found.at_best < 0) & judged
    margin = np.where(fails, found.at_best, found.known)
    return Outcome(
        fails=read_only(fails),
        conforms=read_only((found.surely >= 0) & judged & found.covered & ~fails),
        margin=read_only(np.where(judged & np.isfinite(margin), margin, np.nan)),
    )


def nearest_hz(standing: Standing, *, unit: int) -> float:
    """Tell where the margin of one unit, by its place among these, is smallest; NaN if nowhere."""
    held, one = standing.held, slice(unit, unit + 1)
    outside: list[tuple[Floats, Floats]] = []
    known: list[tuple[Floats, Floats]] = []
    for hz, columns, limits in (
        (held.frequency_hz, held.own, standing.own_limits),
        (standing.breaks_hz, held.at(standing.breaks_hz), standing.breaks_limits),
    ):
        found = distances(
            columns.least[:, one],
            columns.most[:, one],
            columns.uncertainty[:, one] if standing.guard else None,
            limits=limits,
            offset=standing.offset[one],
            guard=standing.guard,
        )
        known.append((hz, found.known[:, 0]))
        outside.append((hz, found.outside(np.array([0]))[:, 0]))
    for those in (outside, known):  # where it fails, only what fails counts
        places, room = (np.concatenate(one) for one in zip(*those, strict=True))
        least = np.fmin.reduce(room, initial=np.inf)
        if least < np.inf:
            return float(places[room == least].min())
    return float("nan")


def _at_own(lines: MaskLines, *, held: HeldColumns) -> tuple[Floats, Floats]:
    """Read the limits at the set's own frequencies; none where the limits have a point of theirs.

    That point is judged by itself, and at the ends of the limits a neighbour 1e-12 away has none.
    """
    own_hz, breaks = held.frequency_hz, lines.break_hz
    upper, lower = lines.upper_at(own_hz), lines.lower_at(own_hz)
    if breaks.size:
        after = np.clip(np.searchsorted(breaks, own_hz), 0, breaks.size - 1)
        before = np.maximum(after - 1, 0)
        gap = np.minimum(np.abs(breaks[after] / own_hz - 1), np.abs(breaks[before] / own_hz - 1))
        upper[gap <= SAME], lower[gap <= SAME] = np.inf, -np.inf
    return upper, lower


def _gap(standing: Standing) -> Bools:
    # Tells which units the mask asks more of than they can show.
    breaks, held = standing.breaks_hz, standing.held
    if not breaks.size:
        return np.zeros(held.low_hz.shape, dtype=np.bool_)
    gap: Bools = (breaks[0] < held.low_hz * (1 - SAME)) | (breaks[-1] > held.high_hz * (1 + SAME))
    return gap


def _least(rooms: list[Floats], *, size: int) -> Floats:
    least = np.full(size, np.inf)
    for room in rooms:
        np.minimum(least, room, out=least)
    return least
