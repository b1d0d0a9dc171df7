"""``dustcap certificate``: the page of a calibration that was kept."""

from pathlib import Path
from typing import Annotated

import typer

from app.cli.output import print_json


def certificate(
    calibration: Annotated[str, typer.Argument(help="Id of a calibration, or its first digits.")],
    out: Annotated[Path, typer.Option(help="Folder to write to.")],
    laboratory: Annotated[str, typer.Option(help="Name; otherwise a line to be filled in.")] = "",
    address: Annotated[str, typer.Option(help="Where it was done.")] = "",
    customer: Annotated[str, typer.Option(help="For whom.")] = "",
    item: Annotated[str, typer.Option(help="Make, type and serial of what was calibrated.")] = "",
    authorised_by: Annotated[str, typer.Option(help="Who answers for it.")] = "",
    issued_on: Annotated[str, typer.Option(help="Day of issue.")] = "",
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Write the certificate of a calibration as PDF and SVG."""
    from app.records.store import Store
    from app.report.certificate_facts import Party
    from app.report.print_certificate import print_certificate

    party = Party(
        laboratory=laboratory,
        address=address,
        customer=customer,
        item=item,
        authorised_by=authorised_by,
        issued_on=issued_on,
    )
    with Store.open(store, must_exist=True) as records:
        record = records.calibration(calibration)
        pages = print_certificate(record, store=records, folder=out, party=party)
    if as_json:
        print_json({"files": [str(page) for page in pages]})
        return
    for page in pages:
        typer.echo(str(page))
