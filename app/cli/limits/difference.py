"""``dustcap limits difference``: what one set of limits changes against another, in words."""

from typing import Annotated

import typer

from app.cli.limits.given import limits_given
from app.cli.limits.options import Json, Store
from app.cli.output import print_json


def difference(
    old: Annotated[str, typer.Argument(help="File of limits, or SET@N.")],
    new: Annotated[str, typer.Argument(help="File of limits, or SET@N.")],
    store: Store = None,
    as_json: Json = False,
) -> None:
    """Say mask by mask what NEW changes against OLD."""
    from app.procedure.limit_difference import difference as changes_between
    from app.records.store import Store as Records

    with Records.open(store, must_exist=True) as records:
        before, after = (limits_given(one, store=records) for one in (old, new))
    changes = changes_between(before.masks, after.masks)
    if as_json:
        print_json(
            {
                "changes": [
                    {"mask": one.mask, "kind": one.kind, "effect": one.effect, "words": one.words}
                    for one in changes
                ]
            }
        )
        return
    for one in changes:
        typer.echo(one.words + ("" if one.effect == "other" else f" ({one.effect})"))
    if not changes:
        typer.echo("no mask differs")
