"""What the columns of a pasted table are, by their heads."""

import re
from collections.abc import Sequence
from typing import Literal

from app.errors import BadInputError
from app.procedure.limit_table_cells import Cells, Row, figure

Column = Literal["frequency", "upper", "lower", "nominal", "plus_minus", "plus", "minus", "unused"]
COLUMNS: tuple[Column, ...] = (
    "frequency",
    "upper",
    "lower",
    "nominal",
    "plus_minus",
    "plus",
    "minus",
    "unused",
)

# The first that fits; words of English and German specifications.
_WORDS: tuple[tuple[Column, str], ...] = (
    ("plus_minus", r"±|\+\s*/\s*[-−–]|^tol"),
    ("plus", r"^(?:plus|\+)(?![\d])|(?:plus|\+)\s*tol|tol\w*\s*(?:plus|\+)"),
    ("minus", r"^(?:minus|[-−–])(?![\d])|(?:minus|[-−–])\s*tol|tol\w*\s*(?:minus|[-−–])"),
    ("frequency", r"freq|^f\b|\bhz\b|khz"),
    ("nominal", r"nominal|target|typ|soll|nenn|reference|centre|center|\bmean\b"),
    ("upper", r"upper|\bmax|\bhigh\b|\bhi\b|obere|oben|\busl\b|höchst"),
    ("lower", r"lower|\bmin|\blow\b|\blo\b|untere|unten|\blsl\b|mindest"),
)


def columns_of(cells: Cells, *, head: Row | None) -> tuple[Column, ...]:
    """Tell what each column of a table is.

    Parameters
    ----------
    cells : Cells
        The table.
    head : Row or None
        What stands over its columns.

    Raises
    ------
    BadInputError
        No heads, heads that say nothing of limits, or two that say the same.
    """
    order = "the columns in order, such as frequency,lower,upper"
    if head is None:
        raise BadInputError(
            "table", "no heads over its columns", given=shown(cells.rows[0]), allowed=order
        )
    columns = tuple(_column(one) for one in head.cells)
    return checked(columns, given=shown(head))


def checked(columns: Sequence[Column], *, given: str) -> tuple[Column, ...]:
    """Refuse columns that do not make limits over frequency."""
    known = [one for one in columns if one != "unused"]
    twice = next((one for one in known if known.count(one) > 1), None)
    if twice is not None:
        raise BadInputError("table", f"two columns for {named(twice)}", given=given)
    if "frequency" not in known:
        raise BadInputError("table", "no column of frequencies", given=given)
    if "nominal" in known and not {"plus_minus", "plus", "minus"} & set(known):
        known.remove("nominal")  # it stands there to be read
    limits = [one for one in known if one not in {"frequency", "nominal"}]
    both = {"upper", "lower"} & set(limits) and {"plus_minus", "plus", "minus"} & set(limits)
    if both or ("plus_minus" in limits and len(limits) > 1):
        raise BadInputError(
            "table", "limits are told twice", given=given, allowed="limits, or tolerances"
        )
    if not limits:
        raise BadInputError(
            "table", "no column of limits", given=given, allowed="upper, lower, ±, + or −"
        )
    return tuple(columns)


def head_of(cells: Cells) -> Row | None:
    """Return the heads of a table: of the lines above the first number, joined; None without."""
    above: list[Row] = []
    for row in cells.rows:
        if any(figure(cell, decimal=cells.decimal) is not None for cell in row.cells):
            break
        above.append(row)
    if not above:
        return None
    joined = [" ".join(parts).strip() for parts in zip(*(row.cells for row in above), strict=True)]
    return Row(line=above[-1].line, cells=tuple(joined))


def named(column: Column) -> str:
    """Return a column's name as a person reads it."""
    return {"plus_minus": "±", "plus": "+", "minus": "−"}.get(column, column)


def shown(row: Row) -> str:
    """Return the cells of a line as a person reads them."""
    return " | ".join(row.cells)


def unit_in(head: str) -> str:
    """Return the unit that a head names, in brackets or behind a slash; empty without."""
    found = re.search(r"[\[(]\s*([^\])]+?)\s*[\])]|(?:/|\bin)\s*(\S+)\s*$|\b(k?hz)\b", head, re.I)
    if found is None or re.search(r"\+\s*/", head):
        return ""
    return next((part for part in found.groups() if part), "")


def _column(head: str) -> Column:
    words = head.casefold()
    return next((column for column, pattern in _WORDS if re.search(pattern, words)), "unused")
