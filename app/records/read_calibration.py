"""Calibrations back from their rows, each compared with the hash under which it was kept."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, select

from app.errors import BadInputError
from app.records import tables
from app.records.calibration_document import read_calibration_text
from app.records.calibration_record import CalibrationRecord
from app.records.snapshots import read_snapshot
from hardware.chain.snapshot import ChainSnapshot

_DIGITS = frozenset("0123456789abcdef")


def read_calibration(calibration_id: str, *, on: Connection) -> CalibrationRecord:
    """Return the one calibration whose id begins with ``calibration_id``.

    Raises
    ------
    BadInputError
        None, or several; or it is not what was kept.
    """
    if not calibration_id or not _DIGITS.issuperset(calibration_id):
        given = calibration_id or "nothing"
        raise BadInputError("calibration", "not an id", given=given, allowed="hex digits")
    ids = tables.calibrations.c.id
    alike = _wanted().where(ids >= calibration_id, ids < calibration_id + "g").limit(2)
    rows = on.execute(alike).all()
    if not rows:
        raise BadInputError("calibration", "the store holds no such one", given=calibration_id)
    if len(rows) > 1:
        raise BadInputError(
            "calibration", "several begin so", given=calibration_id, allowed="more digits"
        )
    return _record(rows[0])


def read_calibrations(
    *,
    chain: str | None,
    link: str | None,
    until: datetime | None,
    limit: int | None,
    on: Connection,
) -> tuple[CalibrationRecord, ...]:
    """Return the calibrations of a chain's link, the newest first; None for any."""
    own = tables.calibrations.c
    wanted = _wanted().order_by(own.made_utc.desc(), own.row.desc()).limit(limit)
    if chain is not None:
        wanted = wanted.where(own.chain == chain)
    if link is not None:
        wanted = wanted.where(own.link == link)
    if until is not None:
        wanted = wanted.where(own.made_utc <= until)
    return tuple(_record(row) for row in on.execute(wanted))


def capture_rows(calibration_id: str, *, on: Connection) -> Sequence[Row[Any]]:
    """Return what is known of the recordings of a calibration, by its whole id, in their order."""
    own, kept, files = tables.calibrations, tables.calibration_captures, tables.captures
    return on.execute(
        select(kept, files.c.sample_rate_hz)
        .join(own, own.c.row == kept.c.calibration)
        .join(files, files.c.sha256 == kept.c.sha256)
        .where(own.c.id == calibration_id)
        .order_by(kept.c.position)
    ).all()


def used_by(take: int, *, on: Connection) -> tuple[str, ...]:
    """Return the ids of the calibrations that the take of a row stands on, sorted."""
    own, used = tables.calibrations, tables.take_calibrations
    return tuple(
        on.execute(
            select(own.c.id)
            .join(used, used.c.calibration == own.c.row)
            .where(used.c.take == take)
            .order_by(own.c.id)
        ).scalars()
    )


def _wanted() -> Select[Any]:
    own, chains = tables.calibrations, tables.snapshots
    return select(own.c.id, own.c.document, own.c.sha256, chains.c.document.label("snapshot")).join(
        chains, chains.c.id == own.c.chain_id
    )


def _record(row: Row[Any]) -> CalibrationRecord:
    where = f"calibration {row.id}"
    if hashlib.sha256(row.document.encode()).hexdigest() != row.sha256:
        raise BadInputError(where, "the record is not the one that was kept")
    chain = read_snapshot(row.snapshot, kind=ChainSnapshot, where=where)
    return read_calibration_text(row.document, chain=chain, where=where)
