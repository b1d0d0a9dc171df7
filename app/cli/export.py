"""``dustcap export``: records out, in open formats."""

from pathlib import Path
from typing import Annotated

import typer

from app.cli.output import print_json
from app.errors import BadInputError


def export(
    out: Annotated[Path, typer.Option(help="Folder to write to.")],
    take: Annotated[str | None, typer.Option(help="Id of one take, or its first digits.")] = None,
    unit: Annotated[str | None, typer.Option(help="Serial: its newest take.")] = None,
    lot: Annotated[str | None, typer.Option(help="Every take of a lot.")] = None,
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    formats: Annotated[
        str, typer.Option("--format", help="Of csv, json, hdf5, wav; several with commas.")
    ] = "csv,json,hdf5,wav",
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Write stored takes as CSV, JSON, HDF5 and WAV."""
    from app.records.store import Store
    from app.report.export import export_take

    written: list[Path] = []
    with Store.open(store, must_exist=True) as records:
        if take:
            found = [records.take(take)]
        elif unit or lot:
            summaries = records.find(serial=unit, lot=lot, limit=1 if unit else None)
            found = [records.take(summary.id) for summary in summaries]
        else:
            raise BadInputError("export", "nothing chosen", allowed="--take, --unit or --lot")
        if not found:
            raise BadInputError("export", "no such take", given=unit or lot)
        for one in found:
            written += export_take(
                one,
                folder=out / f"{one.unit or 'unit'}-{one.id[:8]}",
                formats=tuple(formats.split(",")),
                capture=records.capture(one),
                impulse=None,
            )
    if as_json:
        print_json({"files": [str(path) for path in written]})
        return
    for path in written:
        typer.echo(path)
