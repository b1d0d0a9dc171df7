"""``dustcap report``: one document of a kept take."""

from pathlib import Path
from typing import Annotated

import typer

from app.cli.output import print_json
from app.errors import BadInputError


def report(
    take: Annotated[str, typer.Argument(help="Id of a take, or its first digits.")],
    out: Annotated[Path, typer.Option(help="File to write, ending in .pdf.")],
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Write the report of a take as PDF, after reading its recording once more."""
    from app.measure.read_again import read_again
    from app.records.store import Store
    from app.report.take_report import leave_report

    if out.suffix.lower() != ".pdf":
        raise BadInputError("--out", "no PDF", given=out.name, allowed="a name ending in .pdf")
    with Store.open(store, must_exist=True) as records:
        found = read_again(records, take)
    file = leave_report(found, file=out)
    if as_json:
        print_json(
            {
                "file": str(file),
                "id": found.record.take.id,
                "unit": found.record.take.unit,
                "holds": found.holds,
                "standing": found.standing,
            }
        )
        return
    typer.echo(found.standing)
    typer.echo(str(file))
