"""What goes to stdout: one JSON document, or tables for a person."""

import json
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

import typer

from app.report.rounding import bound_text, decimals

if TYPE_CHECKING:  # slow to import, and every command imports this file
    from pathlib import Path

    from app.records.take import Take
    from dsp import Number

NARROWEST = 110  # columns; a pipe has no width, and half a number is none
WORDS = {"conforms": "●", "does not conform": "■", "not decided": "◆", "not judged": "○"}


def print_json(document: Mapping[str, object]) -> None:
    """Print one JSON document, and nothing else, on stdout."""
    typer.echo(json.dumps(document, ensure_ascii=False, allow_nan=False))


def print_table(head: Sequence[str], rows: Sequence[Sequence[str]], *, empty: str = "") -> None:
    """Print a table with its numbers to the right, or ``empty`` where there is no row."""
    if not rows:
        typer.echo(empty)
        return
    from rich.console import Console
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="dim")
    for column, title in enumerate(head):
        numeric = all(row[column][:1] in "+−-0123456789±—≤" for row in rows)
        last = column == len(head) - 1
        justify: Literal["left", "right"] = "right" if numeric else "left"
        table.add_column(title, justify=justify, no_wrap=not last, overflow="fold")
    for row in rows:
        table.add_row(*row)
    Console(highlight=False, width=max(Console().width, NARROWEST)).print(table)


def print_take(take: "Take") -> None:
    """Print verdict, masks, numbers and warnings of a take."""
    mark = WORDS[take.verdict.value]
    named = take.procedure.limits
    limits = f", limits {named.set}@{named.revision}" if named is not None else ""
    judged = f"{take.verdict.value}  ({take.procedure.name}{limits})"
    typer.echo(f"{mark} {take.unit or 'unit'} {judged}")
    if take.masks:
        typer.echo()
        print_table(
            ("mask", "verdict", "margin", "unit", "at", "why"),
            [
                (
                    name,
                    result.verdict.value,
                    "—" if math.isnan(result.margin) else minus(f"{result.margin:+.2f}"),
                    _unit(take, name),
                    f"{result.nearest_hz:.0f} Hz" if result.nearest_hz else "—",
                    result.reason,
                )
                for name, result in take.masks.items()
            ],
        )
    typer.echo()
    print_table(
        ("number", "value", "± (k = 2)", "unit", "how"),
        [
            (name, value(number), interval(number), number.unit, how)
            for (name, number), how in zip(take.numbers.items(), _hows(take), strict=True)
        ],
    )
    if take.findings:
        typer.echo()
        print_table(
            ("likely cause", "how sure", "because"),
            [
                (one.cause, f"{100 * one.confidence:.0f} %", "; ".join(one.because))
                for one in take.findings
            ],
        )
    for warning in take.warnings:
        typer.echo(f"\nwarning: {warning}")


def print_place(take: "Take", *, store: str, out: "Path | None") -> None:
    """Say by which id a take is asked for, where it is kept, and where its files lie."""
    typer.echo()
    if store:
        typer.echo(f"take      {take.id[:8]}, kept in {store}")
    if out is not None:
        typer.echo(f"files     {out}")


def _hows(take: "Take") -> list[str]:
    """Say how each number was obtained; what several in a row share is said once."""
    hows = [number.reason or number.how for number in take.numbers.values()]
    return [_again(how, before=before) for before, how in zip(["", *hows], hows, strict=False)]


def _again(how: str, *, before: str) -> str:
    parts, known = how.split("; "), before.split("; ") if before else []
    if not known or not all(part in parts for part in known):
        return how
    return "; ".join(["as above", *(part for part in parts if part not in known)])


def _unit(take: "Take", mask: str) -> str:
    quantity = take.procedure.masks[mask].quantity
    found = take.curves.get(quantity) or take.numbers.get(quantity)
    return found.unit.split(" re ")[0] if found else ""


def minus(text: str) -> str:
    """Write a figure's sign as a true minus."""
    return text.replace("-", "−")


def value(number: "Number") -> str:
    """Write a value to the place that its interval justifies; a bound is what it is at most.

    A value that is not known is a dash.
    """
    if math.isnan(number.value):
        return "—"
    if number.is_bound:
        return bound_text(number.value, unit=number.unit)
    return minus(f"{number.value:.{places(number)}f}")


def interval(number: "Number") -> str:
    """Write the expanded uncertainty to two digits, or a dash where it is not known."""
    if number.uncertainty is None or math.isnan(number.value):
        return "—"
    return f"{number.uncertainty:.{places(number)}f}"


def places(number: "Number") -> int:
    """Return how many decimals two digits of the interval take; five significant ones without it.

    A plain number that is whole, such as a polarity, is written whole.
    """
    scale = number.uncertainty or abs(number.value) * 1e-3
    if scale == 0 or (number.unit == "1" and float(number.value).is_integer()):
        return 0
    return max(0, decimals(scale, digits=2))
