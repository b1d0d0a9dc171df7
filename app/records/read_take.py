"""One take back from its rows, equal to the last bit to the one that was written."""

from typing import Any

from sqlalchemy import Connection, Row, Table, select

from app.procedure.schema import Procedure
from app.records import tables
from app.records.curve_blob import unpack_axis, unpack_points
from app.records.exact_floats import unpack_exact
from app.records.read_calibration import used_by
from app.records.rests_on import read_rests_on
from app.records.snapshots import read_snapshot
from app.records.take import Finding, Take
from dsp import Curve, Floats, Number, ValidRange
from dsp.conformity.verdict import MaskResult, Verdict
from hardware.chain.snapshot import ChainSnapshot

_procedures = tables.snapshots.alias("procedures")
_chains = tables.snapshots.alias("chains")


def read_take(row_id: int, *, on: Connection) -> Take:
    """Return the take of a row that is there."""
    row = on.execute(
        select(
            tables.takes,
            tables.units.c.serial,
            tables.lots.c.name.label("lot"),
            _procedures.c.document.label("procedure"),
            _chains.c.document.label("chain"),
        )
        .select_from(
            tables.takes.outerjoin(tables.units)
            .outerjoin(tables.lots)
            .join(_procedures, _procedures.c.id == tables.takes.c.procedure_id)
            .join(_chains, _chains.c.id == tables.takes.c.chain_id)
        )
        .where(tables.takes.c.row == row_id)
    ).one()
    where = f"take {row.id}"
    return Take(
        id=row.id,
        unit=row.serial,
        lot=row.lot,
        procedure=read_snapshot(row.procedure, kind=Procedure, where=where),
        chain=read_snapshot(row.chain, kind=ChainSnapshot, where=where),
        audio=read_audio_hashes(row.row, on=on),
        started_utc=row.started_utc,
        card=row.card,
        capture_sha256=row.capture_sha256,
        capture_offset=row.capture_offset,
        software_version=row.software_version,
        numbers={one.name: number_of(one) for one in _rows(tables.numbers, row.row, on=on)},
        curves=_curves(row.row, on=on),
        masks={one.name: mask_of(one) for one in _rows(tables.masks, row.row, on=on)},
        verdict=Verdict(row.verdict),
        warnings=tuple(row.warnings),
        findings=tuple(
            Finding(cause=cause, confidence=confidence, because=tuple(because))
            for cause, confidence, because in row.findings
        ),
        reference_take=row.reference_take,
        derived_from=row.derived_from,
        calibrations=used_by(row.row, on=on),
        rests_on=read_rests_on(row.row, on=on),
    )


def read_audio_hashes(take: int, *, on: Connection) -> dict[str, str]:
    """Return the hash of each audio file that a take's excitation played, by path."""
    return {row.path: row.sha256 for row in _rows(tables.take_audio, take, on=on)}


def _rows(table: Table, take: int, *, on: Connection) -> list[Row[Any]]:
    mine = select(table).where(table.c.take == take).order_by(table.c.position)
    return list(on.execute(mine))


def number_of(row: Row[Any]) -> Number:
    """Return a number from its row."""
    value, uncertainty, k = (
        unpack_exact(row.exact) if row.exact else (row.value, row.uncertainty, row.k)
    )
    return Number(
        value=value,
        unit=row.unit,
        uncertainty=uncertainty,
        k=k,
        how=row.how,
        reason=row.reason,
        is_bound=bool(row.is_bound),
    )


def mask_of(row: Row[Any]) -> MaskResult:
    """Return a mask's result from its row."""
    margin, nearest_hz = unpack_exact(row.exact) if row.exact else (row.margin, row.nearest_hz)
    return MaskResult(
        verdict=Verdict(row.verdict), margin=margin, nearest_hz=nearest_hz, reason=row.reason
    )


def _curves(take: int, *, on: Connection) -> dict[str, Curve]:
    axes: dict[int, Floats] = {}
    curves = {}
    for row in _rows(tables.curves, take, on=on):
        if row.axis_id not in axes:
            axes[row.axis_id] = read_axis(row.axis_id, on=on)
        curves[row.name] = curve_of(row, frequency_hz=axes[row.axis_id])
    return curves


def read_axis(axis_id: int, *, on: Connection) -> Floats:
    """Return the frequencies of an axis, Hz, (n,)."""
    packed = select(tables.axes.c.frequency_hz).where(tables.axes.c.id == axis_id)
    return unpack_axis(on.execute(packed).scalar_one())


def curve_of(row: Row[Any], *, frequency_hz: Floats) -> Curve:
    """Return a curve from its row and its axis."""
    points = unpack_points(row.points)
    return Curve(
        frequency_hz=frequency_hz,
        value=points.value,
        unit=row.unit,
        valid=ValidRange(
            low_hz=points.low_hz,
            high_hz=points.high_hz,
            low_reason=row.low_reason,
            high_reason=row.high_reason,
        ),
        uncertainty=points.uncertainty,
        is_bound=points.is_bound,
        how=row.how,
    )
