"""The time axis of a drift plot: how much of it is shown, and which months have words."""

from datetime import date, timedelta

from app.desktop.presenters.chain_history import History

_MOST_WORDS = 7
_MARGIN = 0.06  # of the span, on either side


def shown_span(history: History, *, today: date) -> tuple[float, float]:
    """Return the first and the last day that are shown, as ordinals: today and due included."""
    days = [one.day for one in history.entries] + [today]
    if history.due_on is not None:
        days.append(history.due_on)
    low, high = min(days).toordinal(), max(days).toordinal()
    margin = max(3.0, _MARGIN * (high - low))
    return low - margin, high + margin


def month_ticks(low: float, high: float) -> tuple[tuple[float, str], ...]:
    """Return the firsts of months in a span with their names; every second, third, … if many."""
    day = date.fromordinal(int(low)).replace(day=1)
    firsts = []
    while day.toordinal() <= high:
        if day.toordinal() >= low:
            firsts.append(day)
        day = (day + timedelta(days=32)).replace(day=1)
    step = next(n for n in (1, 2, 3, 6, 12, 24, 60, 120) if len(firsts) <= n * _MOST_WORDS)
    chosen = [one for one in firsts if (one.year * 12 + one.month - 1) % step == 0]
    return tuple(
        (float(one.toordinal()), f"{one:%b}" if one.month > 1 else f"{one.year}") for one in chosen
    )


def due_words(due: date) -> str:
    """Say when a link is due."""
    return f"due {due.day} {due:%B}"
