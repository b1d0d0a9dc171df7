"""``dustcap mark``: what inspection found of a unit."""

from enum import StrEnum
from typing import Annotated

import typer

from app.cli.output import print_json


class Found(StrEnum):
    """What a unit can be found to be."""

    GOOD = "good"
    BAD = "bad"


def mark(
    unit: Annotated[str, typer.Argument(help="Serial of a unit that was measured.")],
    found: Annotated[Found, typer.Argument(help="What inspection found.")],
    by: Annotated[str, typer.Option(help="Who inspected it.")],
    why: Annotated[str, typer.Option(help="What was seen or heard.")],
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Note that a unit was found good or bad: the truth that a trial counts against.

    The last word counts; those before stay in the record.
    """
    from app.records.store import Store

    with Store.open(store) as records:
        records.mark_unit(unit, found.value, by=by, why=why)
    if as_json:
        print_json({"unit": unit, "mark": found.value, "by": by, "why": why})
    else:
        typer.echo(f"{unit}: found {found.value} by {by}, {why}")
