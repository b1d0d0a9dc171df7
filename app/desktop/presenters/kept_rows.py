"""Kept calibrations as rows of a list, the newest first; refused ones stay, they teach."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from app.desktop.presenters.chain_history import Calibration, History, value_words
from app.desktop.presenters.figures import value_text
from app.desktop.presenters.kept_words import (
    change_words,
    instrument_words,
    last_before,
    link_called,
    made_words,
    result_words,
    standing,
)
from app.desktop.presenters.mark import Mark
from app.records.calibration_record import CalibrationRecord, Purpose

TYPED = "typed"  # keys of rows that stand on no record


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """One calibration.

    Attributes
    ----------
    key : str
        Id of the record; begins with ``TYPED`` where somebody typed value and day.
    mark : Mark
        Beside the day.
    made, standing, link, value, change, by, instrument, certificate : str
        Cells.
    note : str
        What is read by whoever asks for more.
    """

    key: str
    mark: Mark
    made: str
    standing: str
    link: str
    value: str
    change: str
    by: str
    instrument: str
    certificate: str
    note: str = ""

    @property
    def day(self) -> str:
        """Day alone, where there is little room."""
        return self.made[:10]

    @property
    def is_kept(self) -> bool:
        """Whether there is a record that can be opened."""
        return not self.key.startswith(TYPED)


def kept_rows(
    records: Sequence[CalibrationRecord], *, in_force: Collection[str]
) -> tuple[KeptRow, ...]:
    """Present records.

    Parameters
    ----------
    records : sequence of CalibrationRecord
        The newest first.
    in_force : collection of str
        Ids of those that chains stand on.
    """
    standing_on = frozenset(in_force)
    return tuple(_row(one, records, in_force=standing_on) for one in records)


def link_rows(
    history: History, records: Sequence[CalibrationRecord], *, in_force: Collection[str]
) -> tuple[KeptRow, ...]:
    """Present the records of a link among what its chain and its takes say, the newest first.

    Parameters
    ----------
    history : History
        With an entry a day; those that no record explains were typed.
    records : sequence of CalibrationRecord
        Of that link, the newest first.
    in_force : collection of str
        Ids of those that the chain stands on.
    """
    explained = {
        one.made_utc.date()
        for one in records
        if one.accepted and one.purpose is Purpose.CALIBRATION
    }
    entries = history.entries
    typed = [
        _typed(one, history=history, before=entries[at - 1] if at else None)
        for at, one in enumerate(entries)
        if one.day not in explained
    ]
    rows = (*kept_rows(records, in_force=in_force), *typed)
    return tuple(sorted(rows, key=lambda row: row.made, reverse=True))


def _row(
    record: CalibrationRecord,
    records: Sequence[CalibrationRecord],
    *,
    in_force: frozenset[str],
) -> KeptRow:
    mark, word = standing(record, in_force=in_force)
    return KeptRow(
        key=record.id,
        mark=mark,
        made=made_words(record),
        standing=word,
        link=link_called(record),
        value=result_words(record.results[0]),
        change=change_words(record, last_before(record, records)),
        by=record.operator,
        instrument=record.instrument.name,
        certificate=record.instrument.certificate,
        note="\n".join(
            (
                f"{made_words(record)} UTC, {instrument_words(record)}",
                record.method,
                *record.reasons,
            )
        ),
    )


def _typed(one: Calibration, *, history: History, before: Calibration | None) -> KeptRow:
    # Both lie so near the first one that the difference of two shares is the share of one.
    change = one.drift - before.drift if before is not None else math.nan
    words = value_text(change, one.drift_interval or None, signed=True)
    return KeptRow(
        key=f"{TYPED} {one.day.isoformat()}",
        mark=Mark.GOOD if one.is_now else Mark.NONE,
        made=one.day.isoformat(),
        standing="in force" if one.is_now else "earlier",
        link=history.title,
        value=value_words(one, unit=history.unit),
        change=words if before is None else f"{words} {history.drift_unit}",
        by="—",
        instrument="typed, no record",
        certificate="",
        note="Value and day were typed into the chain: no record says how they were found.",
    )
