"""``dustcap limits save``: a file of limits becomes the next revision of a set, a draft."""

from pathlib import Path
from typing import Annotated

import typer

from app.cli.limits.given import limits_of_file
from app.cli.limits.options import By, Json, Store, Why
from app.cli.limits.table import print_revisions, revision_document
from app.cli.output import print_json
from app.errors import BadInputError


def save(
    limits: Annotated[Path, typer.Argument(help="File of limits, TOML or CSV.")],
    by: By,
    why: Why,
    name: Annotated[
        str, typer.Option("--set", help="Name of the limit set; otherwise as the file says.")
    ] = "",
    store: Store = None,
    as_json: Json = False,
) -> None:
    """Keep a file of limits as the next revision of a set; it is a draft until it is approved."""
    from app.records.store import Store as Records

    given = limits_of_file(str(limits))
    set_name = name or given.set_name
    if not set_name:
        raise BadInputError("--set", "missing", allowed="the name of a limit set")
    with Records.open(store) as records:
        revision = records.add_limit_revision(set_name, given.masks, by=by, why=why)
    if as_json:
        print_json(revision_document(revision))
    else:
        print_revisions([revision])
