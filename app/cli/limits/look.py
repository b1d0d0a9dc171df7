"""``dustcap limits list`` and ``show``: what limit sets there are, and what one holds."""

from typing import Annotated

import typer

from app.cli.limits.given import limits_given, revision_given
from app.cli.limits.options import Json, LimitsArgument, Store
from app.cli.limits.table import (
    masks_document,
    print_masks,
    print_revisions,
    print_steps,
    revision_document,
)
from app.cli.output import print_json


def list_(
    name: Annotated[str | None, typer.Option("--set", help="Revisions of this set only.")] = None,
    store: Store = None,
    as_json: Json = False,
) -> None:
    """List the revisions of limit sets, the newest first."""
    from app.records.store import Store as Records

    with Records.open(store, must_exist=True) as records:
        names = records.limit_sets() if name is None else (name,)
        if name is not None:
            records.limit_revision(name, 1)  # says what sets there are where there is none such
        found = [one for each in names for one in records.limit_revisions(each)]
    if as_json:
        print_json({"revisions": [revision_document(one) for one in found]})
    else:
        print_revisions(found)


def show(limits: LimitsArgument, store: Store = None, as_json: Json = False) -> None:
    """Show the masks of a file, or of a revision with who drew and who approved it."""
    from app.records.store import Store as Records

    with Records.open(store, must_exist=True) as records:
        given = limits_given(limits, store=records)
        revision = None
        if given.is_stored:
            named = revision_given(limits)
            revision = records.limit_revision(named.set_name, named.number)
    if as_json:
        about = {} if revision is None else revision_document(revision)
        print_json({"name": given.name, **about, "masks": masks_document(given.masks)})
        return
    if revision is not None:
        print_revisions([revision])
        print_steps(revision)
        typer.echo()
    print_masks(given.masks)
