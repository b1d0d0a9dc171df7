"""One field that finds takes: what each typed word may mean, as conditions on their rows.

Every word must fit, each in any of its meanings: the beginning of a part of serial, lot or
procedure; a verdict; a take's number or id; a day, or a time of that day.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    Select,
    case,
    false,
    func,
    or_,
    select,
    union,
)

from app.records import tables
from app.records.find_moment import Span, day_span, time_span
from app.records.words import after, begins, plain
from dsp.conformity.verdict import Verdict

# So many have takes that are quicker looked up than met on the way through all takes.
_FEW_LOTS, _FEW_UNITS = 5, 1000
_SHORTEST_VERDICT = 3  # letters: "con", not "c"
_ID = re.compile(r"[0-9a-f]{6,32}")
_NUMBER = re.compile(r"[1-9][0-9]{0,8}")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """The day that times belong to, and the newest moment of the store."""

    newest: datetime
    of_times: datetime


def text_conditions(text: str, *, on: Connection) -> list[ColumnElement[bool]]:
    """Return what the rows of ``takes`` must fulfil to be found by a text; nothing for none."""
    verdicts, rest = _take_verdicts_out(" ".join(text.casefold().split()))
    words = [word for word in rest.split() if plain(word)]
    found = [tables.takes.c.verdict == verdict.value for verdict in verdicts]
    if words:
        days = _days(words, on=on)
        found += [_meanings(word, days=days, on=on) for word in words]
    return found


def _take_verdicts_out(text: str) -> tuple[list[Verdict], str]:
    """Find verdicts of more than one word, and one that is still being typed at the end."""
    found = []
    for verdict in Verdict:
        whole = re.compile(rf"(?<!\S){verdict.value}(?!\S)")
        if whole.search(text):
            found.append(verdict)
            text = whole.sub(" ", text)
    words = text.split(" ")
    for start in range(len(words) - 1):
        tail = " ".join(words[start:])
        begun = [verdict for verdict in Verdict if verdict.value.startswith(tail)]
        if begun and tail.strip():
            return [*found, *begun], " ".join(words[:start])
    return found, text


def _days(words: list[str], *, on: Connection) -> _Days:
    newest = on.execute(select(func.max(tables.takes.c.started_utc))).scalar() or datetime.now(UTC)
    midnight = newest.replace(hour=0, minute=0, second=0, microsecond=0)
    named = [span.since for word in words if (span := day_span(word, newest=newest))]
    return _Days(newest=newest, of_times=named[0] if named else midnight)


def _meanings(word: str, *, days: _Days, on: Connection) -> ColumnElement[bool]:
    takes = tables.takes
    spans, few, many = _spans(word, days=days), _single(word), _broad(word, on=on)
    match _how_many(_lots(word), on=on):
        case 0:
            pass
        case number if number <= _FEW_LOTS:
            few.append(takes.c.lot_id.in_(_lots(word)))
        case _:
            many.append(takes.c.lot_id.in_(_lots(word)))
    match _how_many(_units(word), on=on):
        case 0:
            pass
        case number if number <= _FEW_UNITS:
            few.append(takes.c.unit_id.in_(_units(word)))
        case _:
            many.append(takes.c.unit_words.contains(plain(word), autoescape=True))
    if few:
        looked_up = takes.c.row.in_(union(*(select(takes.c.row).where(one) for one in few)))
        if not many and not spans:
            return looked_up
        many.append(looked_up)
    if not many:
        return or_(false(), *spans)
    # Inside a case no index of its own serves a meaning: all are tried on the way through one.
    return case((or_(*many, *spans), 1), else_=0) == 1


def _broad(word: str, *, on: Connection) -> list[ColumnElement[bool]]:
    takes, found = tables.takes, []
    if len(word) >= _SHORTEST_VERDICT:
        found += [takes.c.verdict == v.value for v in Verdict if v.value.startswith(word)]
    if procedures := _procedures(word, on=on):
        found.append(takes.c.procedure_id.in_(procedures))
    return found


def _spans(word: str, *, days: _Days) -> list[ColumnElement[bool]]:
    read = (day_span(word, newest=days.newest), time_span(word, of_day=days.of_times))
    return [_within(span) for span in read if span is not None]


def _within(span: Span) -> ColumnElement[bool]:
    started = tables.takes.c.started_utc
    return (started >= span.since) & (started < span.until)


def _single(word: str) -> list[ColumnElement[bool]]:
    takes, found = tables.takes, []
    if _NUMBER.fullmatch(word):
        found.append(takes.c.row == int(word))
    if _ID.fullmatch(word):
        found.append((takes.c.id >= word) & (takes.c.id < word + "g"))
    return found


def _units(word: str) -> Select[int]:
    return _beginning(tables.unit_words.c.word, tables.unit_words.c.unit_id, word=word)


def _lots(word: str) -> Select[int]:
    return _beginning(tables.lot_words.c.word, tables.lot_words.c.lot_id, word=word)


def _beginning(words: Column[str], key: Column[int], *, word: str) -> Select[int]:
    typed = plain(word)
    return select(key).where(words >= typed, words < after(typed))


def _procedures(word: str, *, on: Connection) -> list[int]:
    snapshots = tables.snapshots
    known = select(snapshots.c.id, snapshots.c.name).where(snapshots.c.kind == "procedure")
    return [row.id for row in on.execute(known) if begins(row.name, typed=word)]


def _how_many(rows: Select[int], *, on: Connection) -> int:
    """Count, but not further than tells few from many."""
    some = rows.limit(max(_FEW_LOTS, _FEW_UNITS) + 1).subquery()
    return on.execute(select(func.count()).select_from(some)).scalar_one()
