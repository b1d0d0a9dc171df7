"""Calibrations in Records: which of them are listed, and how many there are of each link."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.kept_rows import KeptRow
from app.desktop.presenters.kept_words import quantity_called
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.records_counts import CountRow
from app.records.calibration_record import CalibrationRecord

MOST = 1000  # that are looked up, the newest
_MARKS = {"refused": Mark.BAD}


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationsQuery:
    """What the list is filtered by; an empty text lets everything pass.

    Attributes
    ----------
    text : str
        Words that must all stand somewhere in a row.
    link, standing : str
        As the counts call them.
    """

    text: str = ""
    link: str = ""
    standing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationsState:
    """What is listed.

    Attributes
    ----------
    rows : tuple of KeptRow
        The newest first.
    links, standings : tuple of CountRow
        Each counted under the other filters.
    told : str
        How many there are.
    """

    rows: tuple[KeptRow, ...]
    links: tuple[CountRow, ...]
    standings: tuple[CountRow, ...]
    told: str


def calibrations_state(
    records: Sequence[CalibrationRecord], rows: Sequence[KeptRow], query: CalibrationsQuery
) -> CalibrationsState:
    """Present what a query leaves.

    Parameters
    ----------
    records : sequence of CalibrationRecord
        Of the store, the newest first.
    rows : sequence of KeptRow
        The same, one for each.
    query : CalibrationsQuery
        What is asked for.
    """
    words = query.text.casefold().split()
    found = [
        row
        for row, record in zip(rows, records, strict=True)
        if _fits(words, text=_text(row, record))
    ]
    of_link = [row for row in found if query.link in {"", row.link}]
    of_standing = [row for row in found if query.standing in {"", row.standing}]
    shown = [row for row in of_link if query.standing in {"", row.standing}]
    return CalibrationsState(
        rows=tuple(shown),
        links=_counts([row.link for row in of_standing]),
        standings=_counts([row.standing for row in of_link]),
        told="1 calibration" if len(shown) == 1 else f"{len(shown)} calibrations",
    )


def calibrations_words(state: CalibrationsState, *, is_open: bool, of_store: int) -> BayWords:
    """Say what is listed, and what can be done.

    Parameters
    ----------
    state : CalibrationsState
        As it is shown.
    is_open : bool
        Whether one is chosen.
    of_store : int
        How many were looked up.
    """
    if not of_store:
        return BayWords(
            mark=Mark.NONE,
            happened="No calibration is kept yet.",
            next="calibrate a link in Chain; K goes back to the takes.",
            action="calibrations",
            action_text="Takes",
        )
    newest = f", of the newest {MOST}" if of_store >= MOST else ""
    return BayWords(
        happened=f"{state.told[:1].upper()}{state.told[1:]}{newest}.",
        next="print the certificate of the chosen one; K goes back to the takes."
        if is_open
        else "choose one, or find others at the left; K goes back to the takes.",
        action="certificate",
        enabled=is_open,
    )


def _fits(words: Sequence[str], *, text: str) -> bool:
    return all(word in text for word in words)


def _text(row: KeptRow, record: CalibrationRecord) -> str:
    parts = (
        *(row.made, row.standing, row.link, row.by, row.instrument, row.certificate),
        *(record.instrument.serial, record.chain.chain.name, record.note, record.id[:8]),
        *(record.purpose.value, quantity_called(record.quantity)),
    )
    return " ".join(parts).casefold()


def _counts(names: Sequence[str]) -> tuple[CountRow, ...]:
    return tuple(
        CountRow(key=name, name=name, count=str(count), mark=_MARKS.get(name))
        for name, count in sorted(Counter(names).items())
    )
