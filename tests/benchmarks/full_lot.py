"""A lot of very many units with curves, written in bulk."""

from pathlib import Path

import numpy as np
from sqlalchemy import Connection, insert, select

from app.procedure.mask_schema import Mask
from app.records import tables
from app.records.curve_blob import pack_axis, pack_points
from app.records.shared_rows import id_of
from app.records.store import Store
from dsp import Curve, Floats, ValidRange
from tests.benchmarks.full_store import FIRST, fill_store

NAME = "line-check"  # the procedure of its takes
CURVES = {
    "level": "dB re 20 µPa",
    "impedance": "ohm",
    "h2": "dB re fundamental",
    "h3": "dB re fundamental",
    "thd": "%",
    "high_order": "%",
}
UNITS, POINTS = 10_000, 200  # of a large one
_BREAKS_HZ = (20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10_000.0, 20_000.0)
MIDDLE, HALF = 85.0, 4.0  # of the limits; the units lie about the middle by 1 dB
_MARKED = 400
_DIFFERENT = 300  # curves of a name, dealt out in turn


def fill_lot(place: Path, *, units: int, points: int) -> None:
    """Make a store at ``place`` with so many units, each with all ``CURVES``; some are marked."""
    fill_store(place, takes=units + units // 19 + 1)  # every twentieth unit is measured twice
    hz = np.geomspace(20, 20_000, points)
    rng = np.random.default_rng(2)
    with Store.open(place) as store, store._write("the lot was not written") as connection:
        rows = [row for (row,) in connection.execute(select(tables.takes.c.row)) if row > 1]
        axis = id_of(
            tables.axes,
            key={"sha256": f"{points}"},
            more={"frequency_hz": pack_axis(hz)},
            on=connection,
        )
        for at, (name, unit) in enumerate(CURVES.items()):
            packed = [pack_points(_curve(hz, unit=unit, rng=rng)) for _ in range(_DIFFERENT)]
            connection.execute(
                insert(tables.curves),
                [
                    {
                        "take": row,
                        "name": name,
                        "position": at,
                        "axis_id": axis,
                        "points": packed[row % _DIFFERENT],
                        "unit": unit,
                        "low_reason": "excitation",
                        "high_reason": "excitation",
                        "how": "",
                    }
                    for row in rows
                ],
            )
        _mark(rows, on=connection)


def lot_mask(quantity: str) -> Mask:
    """Return limits that nearly all of those units keep."""
    return Mask(
        quantity=quantity,
        upper=tuple((hz, MIDDLE + HALF) for hz in _BREAKS_HZ),
        lower=tuple((hz, MIDDLE - HALF) for hz in _BREAKS_HZ),
    )


def sloped_mask(quantity: str, *, bend: float) -> Mask:
    """Return such limits that run level nowhere: their points lie up and down by ``bend``."""
    bent = [(hz, bend * (-1) ** number) for number, hz in enumerate(_BREAKS_HZ)]
    return Mask(
        quantity=quantity,
        upper=tuple((hz, MIDDLE + HALF + by) for hz, by in bent),
        lower=tuple((hz, MIDDLE - HALF - by) for hz, by in bent),
    )


def _curve(hz: Floats, *, unit: str, rng: np.random.Generator) -> Curve:
    return Curve(
        frequency_hz=hz,
        value=MIDDLE + rng.normal(size=hz.size),
        unit=unit,
        valid=ValidRange(low_hz=20.0, high_hz=20_000.0),
        uncertainty=np.abs(rng.normal(0.2, 0.01, size=hz.size)),
    )


def _mark(rows: list[int], *, on: Connection) -> None:
    entry = on.execute(
        insert(tables.audit)
        .values(at_utc=FIRST, who="inspection", what="marked", subject="units", why="heard")
        .returning(tables.audit.c.id)
    ).scalar_one()
    takes = tables.takes
    asked = select(takes.c.unit_id).where(takes.c.row.in_(rows[:: max(1, len(rows) // _MARKED)]))
    marked = dict.fromkeys(on.execute(asked).scalars())
    on.execute(
        insert(tables.unit_marks),
        [
            {"unit_id": unit, "mark": "bad" if number % 8 == 0 else "good", "audit_id": entry}
            for number, unit in enumerate(marked)
        ],
    )
