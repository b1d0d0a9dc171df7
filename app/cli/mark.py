"""``dustcap mark``: what inspection found of a unit."""

from typing import TYPE_CHECKING, Annotated, cast

import typer

from app.cli.output import print_json

if TYPE_CHECKING:
    from app.records.decisions import Mark


def mark(
    unit: Annotated[str, typer.Argument(help="Serial of a unit that was measured.")],
    found: Annotated[str, typer.Argument(metavar="good|bad", help="What inspection found.")],
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

    with Store.open(store, must_exist=True) as records:
        records.mark_unit(unit, cast("Mark", found), by=by, why=why)  # refuses any other word
    if as_json:
        print_json({"unit": unit, "mark": found, "by": by, "why": why})
    else:
        typer.echo(f"{unit}: found {found} by {by}, {why}")
