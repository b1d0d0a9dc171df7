"""One calibration as rows; the caller holds the transaction."""

import hashlib
from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, insert, select

from app.errors import BadInputError
from app.records import tables
from app.records.calibration_document import calibration_text
from app.records.calibration_record import CalibrationRecord
from app.records.capture_row import capture_row, snapshot_row
from app.records.captures import capture_hash
from app.records.filters import aware
from hardware.card import Capture


def check_calibration(record: CalibrationRecord, *, captures: Sequence[Capture]) -> None:
    """Refuse a record that does not stand on these recordings, or that nobody answers for."""
    where = f"calibration {record.id}"
    aware(where, record.made_utc)
    if not record.results:
        raise BadInputError(where, "no result", allowed="one or more")
    if not record.operator.strip():
        raise BadInputError(where, "operator is empty", allowed="a name or initials")
    if len(captures) != len(record.captures):
        raise BadInputError(where, "recordings", given=len(captures), allowed=len(record.captures))
    for capture, named in zip(captures, record.captures, strict=True):
        if capture_hash(capture) != named:
            raise BadInputError(where, "another recording than it names", allowed=named)


def write_calibration(
    record: CalibrationRecord, *, captures: Sequence[Capture], on: Connection
) -> None:
    """Insert a record whose recordings stand already."""
    name = record.chain.chain.name
    text = calibration_text(record)
    for capture, sha256 in zip(captures, record.captures, strict=True):
        capture_row(capture, sha256=sha256, on=on)
    row = on.execute(
        insert(tables.calibrations)
        .values(
            id=record.id,
            purpose=record.purpose.value,
            chain=name,
            link=record.link,
            quantity=record.quantity,
            made_utc=record.made_utc,
            accepted=record.accepted,
            holds_while=dict(record.holds_while),
            reasons=list(record.reasons),
            chain_id=snapshot_row(record.chain, kind="chain", name=name, on=on),
            document=text,
            sha256=hashlib.sha256(text.encode()).hexdigest(),
        )
        .returning(tables.calibrations.c.row)
    ).scalar_one()
    rows = [
        {
            "calibration": row,
            "position": at,
            "sha256": sha256,
            "started_utc": capture.started_utc,
            "card": capture.card,
            "dropouts": int(capture.dropouts),
            "lost_channels": [int(channel) for channel in capture.lost_channels],
        }
        for at, (capture, sha256) in enumerate(zip(captures, record.captures, strict=True))
    ]
    if rows:
        on.execute(insert(tables.calibration_captures), rows)


def write_used(row: int, *, calibrations: Iterable[str], on: Connection) -> None:
    """Note on which calibrations the take of a row stands.

    Raises
    ------
    BadInputError
        The store has no such calibration.
    """
    own = tables.calibrations.c
    for one in calibrations:
        known = on.execute(select(own.row).where(own.id == one)).scalar()
        if known is None:
            raise BadInputError("take", "the store holds no such calibration", given=one)
        on.execute(insert(tables.take_calibrations).values(take=row, calibration=known))
