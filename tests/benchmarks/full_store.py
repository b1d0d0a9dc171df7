"""A store with very many takes: years of a line, lot after lot, written in bulk."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from sqlalchemy import Connection, insert, select

from app.records import tables
from app.records.engine import open_engine, writing
from app.records.location import locate
from app.records.named_rows import lot_row
from app.records.store import Store
from app.records.words import plain, words_of
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import make_capture, make_take

UNITS_A_LOT = 200
FIRST = datetime(2023, 1, 9, 6, 0, tzinfo=UTC)
_AT_ONCE = 5000
# A take's numbers: name, unit, mean, spread.
_NUMBERS = (
    ("sensitivity_db", "dB re 20 µPa", 87.8, 0.3),
    ("fs_hz", "Hz", 75.0, 1.5),
    ("re_ohm", "ohm", 6.4, 0.05),
    ("qts", "1", 0.52, 0.02),
    ("rub_buzz_db", "dB", -62.0, 3.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One take of the line: running number, lot, serial, start, verdict."""

    row: int
    lot: str
    serial: str
    started_utc: datetime
    verdict: Verdict


def fill_store(place: Path | str, *, takes: int) -> None:
    """Make a store at ``place`` with so many takes; every twentieth unit is measured twice."""
    capture = make_capture()
    with Store.open(place) as store:
        first = make_take(capture, started_utc=FIRST, unit=None, lot=None)
        store.keep(first, capture=capture)
    engine = open_engine(locate(place).url)
    with writing(engine) as connection:
        made = list(_line(takes))
        for start in range(0, len(made), _AT_ONCE):
            _write(made[start : start + _AT_ONCE], on=connection)
    engine.dispose()


def _line(takes: int) -> Iterator[Made]:
    rng = np.random.default_rng(1)
    verdicts = rng.choice(list(Verdict), size=takes, p=[0.92, 0.05, 0.01, 0.02])
    serial = lot = ""
    unit = 0
    for row in range(2, takes + 1):
        if row % 20:  # otherwise the same unit again
            week, within = divmod(unit, UNITS_A_LOT)
            lot = f"T4-{23 + week // 52}{week % 52 + 1:02d}" if week % 4 else f"T9-W{week:03d}"
            serial = f"{lot}-{within:04d}"
            unit += 1
        yield Made(
            row=row,
            lot=lot,
            serial=serial,
            started_utc=FIRST + timedelta(minutes=15 * row, seconds=row % 47),
            verdict=Verdict(verdicts[row - 1]),
        )


def _write(made: list[Made], *, on: Connection) -> None:
    pattern = dict(on.execute(select(tables.takes).where(tables.takes.c.row == 1)).one()._mapping)
    units = _units(made, on=on)
    lots = {name: lot_row(name, on=on) for name in dict.fromkeys(one.lot for one in made)}
    on.execute(
        insert(tables.takes),
        [
            pattern
            | {
                "row": one.row,
                "id": f"{one.row * 0x9E3779B97F4A7C15 % 2**64:016x}{one.row:016x}",
                "unit_id": units[one.serial],
                "unit_words": plain(one.serial),
                "lot_id": lots[one.lot],
                "started_utc": one.started_utc,
                "verdict": one.verdict.value,
            }
            for one in made
        ],
    )
    rng = np.random.default_rng(made[0].row)
    spread = rng.normal(size=(len(made), len(_NUMBERS)))
    on.execute(
        insert(tables.numbers),
        [
            {
                "take": one.row,
                "name": name,
                "position": at,
                "value": mean + sigma * float(spread[n, at]),
                "unit": unit,
                "uncertainty": sigma,
                "k": 2.0,
                "how": "mean over log f",
                "reason": "",
                "exact": None,
            }
            for n, one in enumerate(made)
            for at, (name, unit, mean, sigma) in enumerate(_NUMBERS)
        ],
    )


def _units(made: list[Made], *, on: Connection) -> dict[str, int]:
    serials = list(dict.fromkeys(one.serial for one in made))
    units = tables.units
    asked = select(units.c.serial, units.c.id).where(units.c.serial.in_(serials))
    known = dict(on.execute(asked).tuples().all())
    if new := [{"serial": serial} for serial in serials if serial not in known]:
        on.execute(insert(units), new)
        added = {row.serial: row.id for row in on.execute(asked) if row.serial not in known}
        words = [
            {"word": word, "unit_id": unit}
            for serial, unit in added.items()
            for word in words_of(serial)
        ]
        on.execute(insert(tables.unit_words), words)
        known |= added
    return known
