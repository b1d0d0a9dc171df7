"""One take as rows; the caller holds the transaction."""

import hashlib
from collections.abc import Mapping

from sqlalchemy import Connection, Table, func, insert, select

from app.records import tables
from app.records.capture_row import capture_row, snapshot_row
from app.records.curve_blob import pack_axis, pack_points
from app.records.exact_floats import column_value, pack_exact
from app.records.named_rows import lot_row, unit_row
from app.records.rests_on import write_rests_on
from app.records.shared_rows import id_of
from app.records.take import Take
from app.records.words import plain
from app.records.write_calibration import write_used
from dsp import Curve, Floats, Number
from dsp.conformity.verdict import MaskResult
from hardware.card import Capture


def write_take(
    take: Take, *, capture: Capture, audio_frames: Mapping[str, int], on: Connection
) -> None:
    """Insert a take and everything that it holds.

    Parameters
    ----------
    take : Take
        What to write.
    capture : Capture
        Its recording, whose file stands already.
    audio_frames : mapping of str to int
        Length of each audio file that is new to the store, by hash.
    on : Connection
        Writing.
    """
    _write_files(take, capture=capture, audio_frames=audio_frames, on=on)
    takes = tables.takes.c
    # Counted here: a sequence of the database leaves gaps where a take was not kept.
    row = on.execute(
        insert(tables.takes)
        .values(
            row=select(func.coalesce(func.max(takes.row), 0) + 1).scalar_subquery(),
            id=take.id,
            unit_id=unit_row(take.unit, on=on),
            lot_id=lot_row(take.lot, on=on),
            procedure_id=snapshot_row(
                take.procedure, kind="procedure", name=take.procedure.name, on=on
            ),
            chain_id=snapshot_row(take.chain, kind="chain", name=take.chain.chain.name, on=on),
            started_utc=take.started_utc,
            card=take.card,
            verdict=take.verdict.value,
            warnings=list(take.warnings),
            findings=[
                [finding.cause, float(finding.confidence), list(finding.because)]
                for finding in take.findings
            ],
            software_version=take.software_version,
            reference_take=take.reference_take,
            derived_from=take.derived_from,
            capture_sha256=take.capture_sha256,
            capture_offset=int(take.capture_offset),
            capture_started_utc=capture.started_utc,
            capture_card=capture.card,
            dropouts=int(capture.dropouts),
            unit_words=None if take.unit is None else plain(take.unit),
            lost_channels=[int(channel) for channel in capture.lost_channels],
        )
        .returning(takes.row)
    ).scalar_one()
    write_used(row, calibrations=take.calibrations, on=on)
    write_rests_on(row, others=take.rests_on, on=on)
    axes = _axis_ids(take.curves, on=on)
    everything: tuple[tuple[Table, list[dict[str, object]]], ...] = (
        (tables.numbers, [_number(n, number) for n, number in take.numbers.items()]),
        (tables.masks, [_mask(n, result) for n, result in take.masks.items()]),
        (tables.curves, [_curve(n, curve, axes=axes) for n, curve in take.curves.items()]),
        (tables.take_audio, [{"path": p, "sha256": sha256} for p, sha256 in take.audio.items()]),
    )
    for table, rows in everything:
        if rows:
            places = [{"take": row, "position": at, **one} for at, one in enumerate(rows)]
            on.execute(insert(table), places)


def _write_files(
    take: Take, *, capture: Capture, audio_frames: Mapping[str, int], on: Connection
) -> None:
    capture_row(capture, sha256=take.capture_sha256, on=on)
    if audio_frames:
        files = [{"sha256": sha256, "frames": n} for sha256, n in audio_frames.items()]
        on.execute(insert(tables.audio_files), files)


def _axis_ids(curves: Mapping[str, Curve], *, on: Connection) -> dict[str, int]:
    """Return the id of every row of frequencies, by the hash of its bytes."""
    distinct = {_axis_hash(curve.frequency_hz): curve.frequency_hz for curve in curves.values()}
    return {
        sha256: id_of(
            tables.axes, key={"sha256": sha256}, more={"frequency_hz": pack_axis(hz)}, on=on
        )
        for sha256, hz in distinct.items()
    }


def _axis_hash(frequency_hz: Floats) -> str:
    return hashlib.sha256(frequency_hz.astype("<f8").tobytes()).hexdigest()


def _number(name: str, number: Number) -> dict[str, object]:
    return {
        "name": name,
        "value": column_value(number.value),
        "unit": number.unit,
        "uncertainty": column_value(number.uncertainty),
        "k": column_value(number.k),
        "how": number.how,
        "reason": number.reason,
        "exact": pack_exact(number.value, number.uncertainty, number.k),
        "is_bound": number.is_bound,
    }


def _mask(name: str, result: MaskResult) -> dict[str, object]:
    return {
        "name": name,
        "verdict": result.verdict.value,
        "margin": column_value(result.margin),
        "nearest_hz": column_value(result.nearest_hz),
        "reason": result.reason,
        "exact": pack_exact(result.margin, result.nearest_hz),
    }


def _curve(name: str, curve: Curve, *, axes: Mapping[str, int]) -> dict[str, object]:
    return {
        "name": name,
        "axis_id": axes[_axis_hash(curve.frequency_hz)],
        "points": pack_points(curve),
        "unit": curve.unit,
        "low_reason": curve.valid.low_reason,
        "high_reason": curve.valid.high_reason,
        "how": curve.how,
    }
