"""How units stand against one pair of limits, kept in pieces so that little is judged anew."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count, repeat

import numpy as np

from app.measure.held_columns import WIDTH, Columns, HeldColumns
from dsp import Bools, Floats, Ints, read_only
from dsp.conformity.mask import MaskLines
from dsp.conformity.places import SAME


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Piece:
    """A block of frequencies under its limits, and what was found there.

    Attributes
    ----------
    limits : bytes
        Upper and lower ones, to the last bit.
    surely, known, at_best : (units,) array
        As ``doubtful_rooms`` gives them; one and the same where all was measured.
    """

    limits: bytes
    surely: Floats
    known: Floats
    at_best: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Job:
    """Blocks that are to be judged.

    Attributes
    ----------
    columns : Columns
        Where they are.
    blocks : (m,) int array
        Which.
    upper, lower : (n,) array
        Limits of all rows.
    offset : (units,) array or None
        What is taken out of the level; None: nothing.
    guard : float
        Of the mask.
    surely, known, at_best : (m, units) array
        For the answers; one and the same where all was measured.
    """

    columns: Columns
    blocks: Ints
    upper: Floats
    lower: Floats
    offset: Floats | None
    guard: float
    surely: Floats
    known: Floats
    at_best: Floats

    @property
    def units(self) -> int:
        """How many units it is about."""
        units: int = self.columns.least.shape[1]
        return units

    @property
    def size(self) -> int:
        """How many values are looked at, about."""
        return self.blocks.size * self.columns.width * self.units


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
    breaks : tuple of Piece
        A point of the limits each.
    """

    held: HeldColumns
    breaks_hz: Floats
    guard: float
    offset: Floats
    own: tuple[Piece, ...]
    breaks: tuple[Piece, ...]


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
    jobs: list[Job] = []

    def pieces(
        columns: Columns, limits: tuple[Floats, Floats], known: Sequence[Piece | None]
    ) -> tuple[Piece, ...]:
        return _pieces(columns, limits=limits, offset=offset, guard=guard, known=known, jobs=jobs)

    hz = lines.break_hz
    own_known: Sequence[Piece | None] = [None] * len(held.own.measured)
    breaks_known: Sequence[Piece | None] = [None] * hz.size
    if before is not None:
        own_known = before.own
        old = dict(zip(before.breaks_hz.tolist(), before.breaks, strict=True))
        breaks_known = [old.get(one) for one in hz.tolist()]
    standing = Standing(
        held=held,
        breaks_hz=hz,
        guard=guard,
        offset=offset,
        own=pieces(held.own, _at_own(lines, held=held), own_known),
        breaks=pieces(held.at(hz), (lines.upper_at(hz), lines.lower_at(hz)), breaks_known),
    )
    return Plan(standing=standing, jobs=tuple(jobs))


def _pieces(
    columns: Columns,
    *,
    limits: tuple[Floats, Floats],
    offset: Floats,
    guard: float,
    known: Sequence[Piece | None],
    jobs: list[Job],
) -> tuple[Piece, ...]:
    """Return a piece for each block: a known one under the same limits, or a new one with a job."""
    pieces = list(known)
    new: dict[bool, list[tuple[int, bytes]]] = {True: [], False: []}
    for block, old in enumerate(known):
        some = slice(block * columns.width, (block + 1) * columns.width)
        under = limits[0][some].tobytes() + limits[1][some].tobytes()
        if old is None or old.limits != under:
            new[columns.measured[block] and guard == 0].append((block, under))
    for is_simple, those in new.items():
        if not those:
            continue
        surely = np.empty((len(those), offset.size))
        job = Job(
            columns=columns,
            blocks=np.array([block for block, _ in those], dtype=np.int64),
            upper=limits[0],
            lower=limits[1],
            offset=offset if offset.any() else None,
            guard=guard,
            surely=surely,
            known=surely if is_simple else np.empty_like(surely),
            at_best=surely if is_simple else np.empty_like(surely),
        )
        jobs.append(job)
        for row, (block, under) in enumerate(those):
            room = job.surely[row]
            pieces[block] = Piece(
                limits=under,
                surely=room,
                known=room if is_simple else job.known[row],
                at_best=room if is_simple else job.at_best[row],
            )
    return tuple(piece for piece in pieces if piece is not None)


def run(job: Job, *, begin: int, end: int) -> None:
    """Judge the blocks for some of the units."""
    from app.measure.judge_kernel import (  # noqa: PLC0415  numba comes late
        doubtful_rooms,
        measured_rooms,
    )

    columns = job.columns
    which = (columns.width, job.blocks, job.upper, job.lower, job.offset, begin, end)
    if job.known is job.surely:
        measured_rooms(columns.least, *which, job.surely)
    else:
        doubtful_rooms(
            columns.least,
            columns.most,
            columns.uncertainty,
            job.guard,
            *which,
            job.surely,
            job.known,
            job.at_best,
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rooms:
    """The least room that units have under their limits, (units,) each, as ``doubtful_room``.

    ``covered`` tells which units can show all that the limits ask for.
    """

    surely: Floats
    known: Floats
    at_best: Floats
    covered: Bools


def rooms(standing: Standing) -> Rooms:
    """Join the pieces, once they are judged."""
    pieces = [*standing.own, *standing.breaks]
    size = standing.offset.size
    surely = _least([one.surely for one in pieces], size=size)
    known = at_best = surely
    if any(one.known is not one.surely for one in pieces):
        known = _least([one.known for one in pieces], size=size)
        at_best = _least([one.at_best for one in pieces], size=size)
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
    pieces = (*standing.own, *standing.breaks)
    fails = any(piece.at_best[unit] < 0 for piece in pieces)

    def room(piece: Piece) -> float:
        return float((piece.at_best if fails else piece.known)[unit])

    least = min(map(room, pieces), default=np.inf)
    if not np.isfinite(least):
        return float("nan")
    held = standing.held
    starts = range(WIDTH, held.frequency_hz.size, WIDTH)
    blocks = [
        *zip(np.split(held.frequency_hz, starts), repeat(held.own), count(), strict=False),
        *zip(
            standing.breaks_hz[:, None], repeat(held.at(standing.breaks_hz)), count(), strict=False
        ),
    ]
    return min(
        float(hz[row])
        for piece, (hz, columns, block) in zip(pieces, blocks, strict=True)
        if room(piece) == least
        for row, alone in enumerate(_singly(columns.block(block), piece, standing=standing))
        if room(alone) == least
    )


def _singly(columns: Columns, piece: Piece, *, standing: Standing) -> tuple[Piece, ...]:
    """Judge each frequency of a piece by itself."""
    upper, lower = np.frombuffer(piece.limits).reshape(2, -1)
    jobs: list[Job] = []
    pieces = _pieces(
        columns,
        limits=(upper, lower),
        offset=standing.offset,
        guard=standing.guard,
        known=[None] * upper.size,
        jobs=jobs,
    )
    for job in jobs:
        run(job, begin=0, end=job.units)
    return pieces


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
