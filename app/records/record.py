"""A take with everything around it that a person needs who has to defend its figures."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from app.records import tables
from app.records.decisions import UnitMark, mark_of_unit, reference_row
from app.records.judging_limits import JudgingLimits, read_judging_limits
from app.records.read_take import read_take
from app.records.rests_on import read_given
from app.records.revisions import Revision, read_revisions
from app.records.row_of import row_of
from app.records.take import Take


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingFacts:
    """What is known of a take's recording without reading its file."""

    frames: int
    channels: int
    sample_rate_hz: float
    dropouts: int
    lost_channels: tuple[int, ...]

    @property
    def duration_s(self) -> float:
        """How long it is, s."""
        return self.frames / self.sample_rate_hz


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Record:
    """A take and what the store knows about it.

    Attributes
    ----------
    take : Take
        As kept.
    number : int
        Its running number.
    revision : Revision
        Of its procedure.
    limits : JudgingLimits or None
        The revision of a limit set that judged it; None where its masks were the procedure's own.
    recording : RecordingFacts
        What it was derived from.
    reference_number, derived_from_number : int or None
        Running numbers of ``Take.reference_take`` and ``Take.derived_from``; None where it names
        none, or the store does not have it.
    rests_on : mapping of str to int
        Running numbers of the takes in ``Take.rests_on``, by what each gave.
    gave : frozenset of str
        What this take gave to others that rest on it.
    is_reference : bool
        Whether relative masks of its procedure compare with it now.
    mark : UnitMark or None
        What inspection found of its unit.
    """

    take: Take
    number: int
    revision: Revision
    limits: JudgingLimits | None
    recording: RecordingFacts
    reference_number: int | None
    derived_from_number: int | None
    rests_on: Mapping[str, int]
    gave: frozenset[str]
    is_reference: bool
    mark: UnitMark | None


def read_record(take_id: str, *, on: Connection) -> Record:
    """Return the record of a take.

    Raises
    ------
    BadInputError
        No such take, or several begin so.
    """
    row = row_of(take_id, on=on)
    take = read_take(row, on=on)
    # As it was kept: written out today, the procedure may have keys that it had not then.
    kept = tables.takes.join(tables.snapshots, tables.snapshots.c.id == tables.takes.c.procedure_id)
    own = on.execute(
        select(tables.snapshots.c.sha256).select_from(kept).where(tables.takes.c.row == row)
    ).scalar_one()
    revisions = read_revisions(take.procedure.name, on=on)
    return Record(
        take=take,
        number=row,
        revision=next(one for one in revisions if one.sha256 == own),
        limits=read_judging_limits(take.procedure, on=on),
        recording=_recording(row, on=on),
        reference_number=_number(take.reference_take, on=on),
        derived_from_number=_number(take.derived_from, on=on),
        rests_on={gave: row_of(other, on=on) for gave, other in take.rests_on.items()},
        gave=read_given(row, on=on),
        is_reference=reference_row(take.procedure.name, on=on) == row,
        mark=mark_of_unit(take.unit, on=on),
    )


def _number(take_id: str | None, *, on: Connection) -> int | None:
    if take_id is None:
        return None
    return on.execute(select(tables.takes.c.row).where(tables.takes.c.id == take_id)).scalar()


def _recording(row: int, *, on: Connection) -> RecordingFacts:
    takes, captures = tables.takes, tables.captures
    found = on.execute(
        select(
            captures.c.frames,
            captures.c.channels,
            captures.c.sample_rate_hz,
            takes.c.dropouts,
            takes.c.lost_channels,
        )
        .join(captures)
        .where(takes.c.row == row)
    ).one()
    return RecordingFacts(
        frames=found.frames,
        channels=found.channels,
        sample_rate_hz=found.sample_rate_hz,
        dropouts=found.dropouts,
        lost_channels=tuple(found.lost_channels),
    )
