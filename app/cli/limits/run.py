"""``dustcap limits run``: an approved revision becomes what a procedure judges by."""

from typing import Annotated

import typer

from app.cli.limits.given import revision_given
from app.cli.limits.options import Json, RevisionArgument, Store
from app.cli.limits.table import revision_document
from app.cli.output import print_json
from app.errors import BadInputError


def run(
    revision: RevisionArgument,
    procedure: Annotated[
        str, typer.Option(help="Procedure file, your own; comments and all else in it stay.")
    ],
    store: Store = None,
    as_json: Json = False,
) -> None:
    """Write the masks of an approved revision, and which it is, into a procedure file."""
    from app.measure.in_force import run_revision
    from app.procedure.shipped import find_procedure
    from app.records.store import Store as Records

    loaded, named = find_procedure(procedure), revision_given(revision)
    with Records.open(store, must_exist=True) as records:
        found = records.limit_revision(named.set_name, named.number)
    if run_revision(loaded, found).file is None:
        raise BadInputError(
            "--procedure", "ships and stays as it is", given=procedure, allowed="a copy of it"
        )
    if as_json:
        print_json({"file": procedure, "masks": list(found.masks), **revision_document(found)})
    else:
        signed = f"approved by {found.approved_by}"
        typer.echo(f"{procedure}: runs {found.set_name}@{found.number}, {signed}")
