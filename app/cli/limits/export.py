"""``dustcap limits export``: limits as one file, to travel."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.limits.given import limits_given, revision_given
from app.cli.limits.options import Json, LimitsArgument, Store
from app.cli.output import print_json
from app.errors import BadInputError

if TYPE_CHECKING:
    from app.procedure.limit_set import LimitSet
    from app.records.store import Store as Records


def export(
    limits: LimitsArgument,
    out: Annotated[Path, typer.Option(help="File to write, ending in .toml or .csv.")],
    store: Store = None,
    as_json: Json = False,
) -> None:
    """Write limits as TOML, with who drew them and why, or as CSV for a spreadsheet."""
    from app.procedure.limit_csv import limit_csv_text
    from app.procedure.limit_set import limit_set_text
    from app.records.store import Store as Records
    from hardware.whole_text import write_text

    form = out.suffix.lower()
    if form not in {".toml", ".csv"}:
        raise BadInputError("--out", "no such form", given=out.name, allowed=".toml or .csv")
    with Records.open(store, must_exist=True) as records:
        found = _limit_set(limits, store=records)
    write_text(out, limit_set_text(found) if form == ".toml" else limit_csv_text(found.masks))
    if as_json:
        print_json({"file": str(out), "masks": list(found.masks)})
    else:
        typer.echo(str(out))


def _limit_set(limits: str, *, store: "Records") -> "LimitSet":
    from app.procedure.limit_set import LimitSet

    given = limits_given(limits, store=store)
    if not given.is_stored:
        return LimitSet(name=given.set_name, procedure=given.procedure, masks=dict(given.masks))
    named = revision_given(limits)
    revision = store.limit_revision(named.set_name, named.number)
    return LimitSet(
        name=revision.set_name,
        revision=revision.number,
        by=revision.by,
        why=revision.why,
        date=revision.at_utc.date(),
        masks=dict(revision.masks),
    )
