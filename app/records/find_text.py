"""One field that finds takes: what each typed word may mean, as conditions on their rows.

Every word must fit, each in any of its meanings: the beginning of a part of serial, lot or
procedure; a verdict; a take's number or id; a day, or a time of that day.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import ColumnElement, Connection, Select, exists, false, func, or_, select, union

from app.records import tables
from app.records.find_moment import Span, day_span, time_span
from app.records.words import after, begins
from dsp.conformity.verdict import Verdict

_FEW = 2000  # rows that are quicker looked up one by one than met on the way through all
_SHORTEST_VERDICT = 3  # letters: "con", not "c"
_ID = re.compile(r"[0-9a-f]{6,32}")
_NUMBER = re.compile(r"[1-9][0-9]{0,8}")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """The day that times belong to, and the newest moment of the store."""

    newest: datetime
    of_times: datetime


def text_conditions(text: str, *, on: Connection) -> list[ColumnElement[bool]]:
    """Return what the rows of ``takes`` must fulfil to be found by a text; none for an empty one."""
    verdicts, rest = _take_verdicts_out(" ".join(text.casefold().split()))
    words = rest.split()
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
    units, lots = _units(word), _lots(word)
    any_of: list[ColumnElement[bool]] = [*_broad(word, days=days, on=on)]
    few = [select(takes.c.row).where(one) for one in _single(word)]
    of_lots = takes.c.lot_id.in_(lots)
    if _is_few(select(takes.c.row).where(of_lots), on=on):
        few.append(select(takes.c.row).where(of_lots))
    else:
        any_of.append(of_lots)
    # A serial often begins with its lot: what the lot told already is not looked up again.
    if _is_few(units, on=on):
        few.append(select(takes.c.row).where(takes.c.unit_id.in_(units)))
    else:
        any_of.append(_has_word(word))
    if few:
        any_of.append(takes.c.row.in_(union(*few)))
    return or_(false(), *any_of)


def _broad(word: str, *, days: _Days, on: Connection) -> list[ColumnElement[bool]]:
    takes, found = tables.takes, []
    if len(word) >= _SHORTEST_VERDICT:
        found += [takes.c.verdict == v.value for v in Verdict if v.value.startswith(word)]
    if procedures := _procedures(word, on=on):
        found.append(takes.c.procedure_id.in_(procedures))
    for span in (day_span(word, newest=days.newest), time_span(word, of_day=days.of_times)):
        if span is not None:
            found.append(_within(span))
    return found


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


def _units(word: str) -> Select[tuple[int]]:
    words = tables.unit_words
    return select(words.c.unit_id).where(words.c.word >= word, words.c.word < after(word))


def _lots(word: str) -> Select[tuple[int]]:
    words = tables.lot_words
    return select(words.c.lot_id).where(words.c.word >= word, words.c.word < after(word))


def _has_word(word: str) -> ColumnElement[bool]:
    words = tables.unit_words
    return exists().where(
        words.c.unit_id == tables.takes.c.unit_id, words.c.word >= word, words.c.word < after(word)
    )


def _procedures(word: str, *, on: Connection) -> list[int]:
    snapshots = tables.snapshots
    known = select(snapshots.c.id, snapshots.c.name).where(snapshots.c.kind == "procedure")
    return [row.id for row in on.execute(known) if begins(row.name, with_=word)]


def _is_few(rows: Select[tuple[int]], *, on: Connection) -> bool:
    some = rows.limit(_FEW + 1).subquery()
    return on.execute(select(func.count()).select_from(some)).scalar_one() <= _FEW
