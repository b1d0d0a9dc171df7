"""Days and times as a person types them into a field, as spans of UTC."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

_DAY = re.compile(r"(?:(?P<year>\d{4})-)?(?P<month>\d{2})-(?P<day>\d{2})")
_MONTH = re.compile(r"(?P<year>\d{4})-(?P<month>\d{2})")
_TIME = re.compile(r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2}))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From one moment on until, but without, another; both aware."""

    since: datetime
    until: datetime


def day_span(word: str, *, newest: datetime) -> Span | None:
    """Read ``2026-07-29``, ``2026-07`` or ``07-29``; None where it is none of them.

    A day without a year is the last such day up to ``newest``.
    """
    try:
        if found := _DAY.fullmatch(word):
            month, day = int(found["month"]), int(found["day"])
            if found["year"]:
                return _one_day(datetime(int(found["year"]), month, day, tzinfo=UTC))
            return _last_such_day(month, day, newest=newest)
        if found := _MONTH.fullmatch(word):
            first = datetime(int(found["year"]), int(found["month"]), 1, tzinfo=UTC)
            return Span(since=first, until=(first + timedelta(days=31)).replace(day=1))
    except (ValueError, OverflowError):  # the 31st of June
        return None
    return None


def time_span(word: str, *, of_day: datetime) -> Span | None:
    """Read ``14:36`` or ``14:36:05`` on a day; None where it is neither."""
    if not (found := _TIME.fullmatch(word)):
        return None
    try:
        since = of_day.replace(
            hour=int(found["hour"]),
            minute=int(found["minute"]),
            second=int(found["second"] or 0),
            microsecond=0,
        )
    except ValueError:  # a quarter past 25
        return None
    return Span(since=since, until=since + timedelta(seconds=1 if found["second"] else 60))


def _one_day(start: datetime) -> Span:
    return Span(since=start, until=start + timedelta(days=1))


def _last_such_day(month: int, day: int, *, newest: datetime) -> Span | None:
    for year in range(newest.year, newest.year - 9, -1):  # eight years may pass without a 29 Feb
        try:
            start = datetime(year, month, day, tzinfo=UTC)
        except ValueError:
            continue
        if start <= newest:
            return _one_day(start)
    return None
