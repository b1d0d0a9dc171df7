"""How units stand against one pair of limits, kept in pieces so that little is judged anew."""

from dataclasses import dataclass

import numpy as np

from app.measure.held_columns import WIDTH, Columns, HeldColumns
from dsp import Bools, Floats, read_only
from dsp.conformity.mask import MaskLines
from dsp.conformity.places import SAME


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Piece:
    """A few frequencies under their limits, and what was found there.

    Attributes
    ----------
    upper, lower : (k,) array
        Limits; infinite where there is none.
    surely, known, at_best : (units,) array
        As ``doubtful_room`` gives them; one and the same where all was measured.
    """

    upper: Floats
    lower: Floats
    surely: Floats
    known: Floats
    at_best: Floats

    def has(self, upper: Floats, lower: Floats) -> bool:
        """Tell whether these are its limits."""
        return np.array_equal(upper, self.upper) and np.array_equal(lower, self.lower)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Job:
    """A piece that is to be judged."""

    columns: Columns
    offset: Floats
    guard: float
    piece: Piece


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
    own : tuple of Piece
        A block of the set's own frequencies each.
    breaks : mapping of Hz to Piece
        A point of the limits each.
    """

    held: HeldColumns
    breaks_hz: Floats
    guard: float
    offset: Floats
    own: tuple[Piece, ...]
    breaks: dict[float, Piece]


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
        Of the same units; its pieces hold on where limits, guard and offset are the same.

    Returns
    -------
    Plan
    """
    if before is not None and not (
        before.held is held and before.guard == guard and np.array_equal(before.offset, offset)
    ):
        before = None
    upper, lower = _at_own(lines, held=held)
    own_limits = [
        (upper[place : place + WIDTH], lower[place : place + WIDTH])
        for place in range(0, upper.size, WIDTH)
    ]
    breaks = lines.break_hz
    break_limits = list(
        zip(lines.upper_at(breaks)[:, None], lines.lower_at(breaks)[:, None], strict=True)
    )
    columns = [*held.blocks, *held.at(breaks)]
    limits = [*own_limits, *break_limits]
    hz = breaks.tolist()
    known: list[Piece | None] = [None] * len(limits)
    if before is not None:
        known = [*before.own, *(before.breaks.get(one) for one in hz)]
    pieces, jobs = [], []
    for these, (above, below), old in zip(columns, limits, known, strict=True):
        if old is not None and old.has(above, below):
            pieces.append(old)
            continue
        new = _empty(these, guard=guard, upper=above, lower=below)
        jobs.append(Job(columns=these, offset=offset, guard=guard, piece=new))
        pieces.append(new)
    blocks = len(own_limits)
    standing = Standing(
        held=held,
        breaks_hz=breaks,
        guard=guard,
        offset=offset,
        own=tuple(pieces[:blocks]),
        breaks=dict(zip(hz, pieces[blocks:], strict=True)),
    )
    return Plan(standing=standing, jobs=tuple(jobs))


def run(job: Job, *, begin: int, end: int) -> None:
    """Judge one piece for some of the units."""
    from app.measure.judge_kernel import (  # noqa: PLC0415  numba comes late
        doubtful_room,
        measured_room,
    )

    columns, piece = job.columns, job.piece
    if piece.known is piece.surely:
        measured_room(columns.least, piece.upper, piece.lower, job.offset, begin, end, piece.surely)
        return
    doubtful_room(
        columns.least,
        columns.most,
        columns.uncertainty,
        job.guard,
        piece.upper,
        piece.lower,
        job.offset,
        begin,
        end,
        piece.surely,
        piece.known,
        piece.at_best,
    )


def outcome(standing: Standing) -> Outcome:
    """Join the pieces, once they are judged."""
    pieces = [*standing.own, *standing.breaks.values()]
    size = standing.offset.size
    surely = _least([one.surely for one in pieces], size=size)
    known = at_best = surely
    if any(one.known is not one.surely for one in pieces):
        known = _least([one.known for one in pieces], size=size)
        at_best = _least([one.at_best for one in pieces], size=size)
    judged = surely < np.inf
    fails = (at_best < 0) & judged
    margin = np.where(fails, at_best, known)
    return Outcome(
        fails=read_only(fails),
        conforms=read_only((surely >= 0) & judged & ~_gap(standing) & ~fails),
        margin=read_only(np.where(judged & np.isfinite(margin), margin, np.nan)),
    )


def nearest_hz(standing: Standing, *, unit: int) -> float:
    """Tell where the margin of one unit, by its place among these, is smallest; NaN if nowhere."""
    held = standing.held
    starts = range(WIDTH, held.frequency_hz.size, WIDTH)
    points = held.at(standing.breaks_hz)
    places = [
        *zip(np.split(held.frequency_hz, starts), held.blocks, standing.own, strict=True),
        *zip(standing.breaks_hz[:, None], points, standing.breaks.values(), strict=True),
    ]
    fails = any(piece.at_best[unit] < 0 for _, _, piece in places)

    def room(piece: Piece) -> float:
        return float((piece.at_best if fails else piece.known)[unit])

    least = min((room(piece) for _, _, piece in places), default=np.inf)
    if not np.isfinite(least):
        return float("nan")
    return min(
        float(hz[row])
        for hz, columns, piece in places
        if room(piece) == least
        for row in range(hz.size)
        if room(_alone(columns, piece, standing=standing, row=row)) == least
    )


def _alone(columns: Columns, piece: Piece, *, standing: Standing, row: int) -> Piece:
    """Judge one frequency of a piece by itself."""
    some = slice(row, row + 1)
    there = columns.rows(some)
    alone = Piece(
        upper=piece.upper[some],
        lower=piece.lower[some],
        surely=np.empty_like(piece.surely),
        known=np.empty_like(piece.surely),
        at_best=np.empty_like(piece.surely),
    )
    job = Job(columns=there, offset=standing.offset, guard=standing.guard, piece=alone)
    run(job, begin=0, end=standing.offset.size)
    return alone


def _empty(columns: Columns, *, guard: float, upper: Floats, lower: Floats) -> Piece:
    units = columns.least.shape[1]
    surely = np.empty(units)
    is_simple = columns.is_measured and guard == 0
    return Piece(
        upper=read_only(upper),
        lower=read_only(lower),
        surely=surely,
        known=surely if is_simple else np.empty(units),
        at_best=surely if is_simple else np.empty(units),
    )


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
