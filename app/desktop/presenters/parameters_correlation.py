"""How figures hang together: a quiet table, and the pairs that move as one."""

from dataclasses import dataclass

from app.desktop.presenters.figures import minus
from app.desktop.presenters.parameters_card import SYMBOLS
from dsp.parameters.estimates import Estimates

STRONG = 0.9
_MOST_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrelationCell:
    """One coefficient as written; ``strong`` where it is above 0.9 either way."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrelationState:
    """The lower half of the table, a row a figure, and what it means."""

    names: tuple[str, ...] = ()
    rows: tuple[tuple[CorrelationCell, ...], ...] = ()
    told: str = ""


def correlation_state(figures: Estimates) -> CorrelationState:
    """Present the correlation of all figures."""
    order = [key for key in SYMBOLS if key in figures.names]
    places = [figures.names.index(key) for key in order]
    table = figures.correlation
    names = tuple(SYMBOLS[key][0] for key in order)
    rows = tuple(
        tuple(_cell(float(table[row, column])) for column in places[: number + 1])
        for number, row in enumerate(places)
    )
    pairs = [
        (names[a], names[b], float(table[places[a], places[b]]))
        for a in range(len(names))
        for b in range(a)
        if abs(table[places[a], places[b]]) > STRONG
    ]
    return CorrelationState(names=names, rows=rows, told=_told(pairs))


def correlation_text(state: CorrelationState) -> str:
    """Return the table as tab-separated text."""
    lines = ["\t".join(["r", *state.names])]
    lines += [
        "\t".join([name, *(cell.text.replace("−", "-") for cell in row)])
        for name, row in zip(state.names, state.rows, strict=True)
    ]
    return "\n".join(lines) + "\n"


def _cell(value: float) -> CorrelationCell:
    return CorrelationCell(text=minus(f"{round(value, 2) + 0.0:.2f}"), strong=abs(value) > STRONG)


def _told(pairs: list[tuple[str, str, float]]) -> str:
    if not pairs:
        return "No two figures move as one: none is above 0.9."
    pairs.sort(key=lambda pair: -abs(pair[2]))
    named = "; ".join(minus(f"{a} and {b} {r:+.2f}") for a, b, r in pairs[:_MOST_NAMED])
    more = len(pairs) - _MOST_NAMED
    rest = f"; and {more} more" if more > 0 else ""
    return (
        f"These move as one: {named}{rest}. What follows from both of a pair has an interval that "
        "their own two do not tell: take it from here, not from the sum of their squares."
    )
