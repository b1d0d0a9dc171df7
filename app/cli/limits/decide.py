"""``dustcap limits approve`` and ``retire``: what a line may run."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.limits.given import revision_given
from app.cli.limits.options import By, Json, RevisionArgument, Store, Why
from app.cli.limits.table import print_revisions, print_steps, revision_document
from app.cli.output import print_json

if TYPE_CHECKING:
    from app.records.limit_revisions import LimitRevision


def approve(
    revision: RevisionArgument,
    by: By,
    why: Why,
    seen: Annotated[
        int | None,
        typer.Option(
            help="Number of the approved revision that it was held against, 0 for none; where "
            "another is approved by now, nothing is changed. Otherwise the one that is."
        ),
    ] = None,
    store: Store = None,
    as_json: Json = False,
) -> None:
    """Approve a revision: lines may run it, and the one that was approved before is retired."""
    from app.records.store import Store as Records

    named = revision_given(revision)
    with Records.open(store, must_exist=True) as records:
        everyone = records.limit_revisions(named.set_name)
        approved = next((one.number for one in everyone if one.state == "approved"), None)
        found = records.approve_limits(
            named.set_name,
            named.number,
            by=by,
            why=why,
            seen=approved if seen is None else seen or None,
        )
    _tell(found, as_json=as_json)
    if found.is_self_approved and not as_json:
        typer.echo("\ndrawn and approved by the same person, which the record tells")


def retire(
    revision: RevisionArgument, by: By, why: Why, store: Store = None, as_json: Json = False
) -> None:
    """Retire a revision, or withdraw a draft; it stays in the record."""
    from app.records.store import Store as Records

    named = revision_given(revision)
    with Records.open(store, must_exist=True) as records:
        found = records.retire_limits(named.set_name, named.number, by=by, why=why)
    _tell(found, as_json=as_json)


def _tell(found: "LimitRevision", *, as_json: bool) -> None:
    if as_json:
        print_json(revision_document(found))
    else:
        print_revisions([found])
        print_steps(found)
