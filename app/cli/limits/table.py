"""Revisions and masks of limit sets as rows and documents."""

from typing import TYPE_CHECKING

import typer

from app.cli.output import print_table

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from app.procedure.edit_masks import Side
    from app.procedure.mask_schema import Mask
    from app.records.limit_revisions import LimitRevision

_MARKS = {"approved": "●", "draft": "○", "retired": "–"}


def print_revisions(revisions: "Sequence[LimitRevision]") -> None:
    """Print revisions, a line each."""
    print_table(
        ("set", "revision", "state", "masks", "by", "on, UTC", "why"),
        [
            (
                one.set_name,
                str(one.number),
                f"{_MARKS[one.state]} {one.state}",
                str(len(one.masks)),
                one.by,
                f"{one.at_utc:%Y-%m-%d %H:%M}",
                one.why,
            )
            for one in revisions
        ],
        empty="no limit set yet",
    )


def print_steps(revision: "LimitRevision") -> None:
    """Print who approved and who retired a revision, where somebody did."""
    for step, by, why, at in (
        ("approved", revision.approved_by, revision.approved_why, revision.approved_utc),
        ("retired", revision.retired_by, revision.retired_why, revision.retired_utc),
    ):
        if at is not None:
            typer.echo(f"{step} by {by}, {at:%Y-%m-%d %H:%M} UTC: {why}")


def print_masks(masks: "Mapping[str, Mask]") -> None:
    """Print masks, a line each."""
    from app.procedure.edit_masks import SIDES

    print_table(
        ("mask", "quantity", *SIDES, "held against", "guard"),
        [
            (
                name,
                mask.quantity,
                *(_limit(mask, side) for side in SIDES),
                ", ".join(_ways(mask)) or "—",
                f"{mask.guard:g}",
            )
            for name, mask in masks.items()
        ],
    )


def revision_document(revision: "LimitRevision") -> dict[str, object]:
    """Return a revision for JSON, without its masks."""
    return {
        "set": revision.set_name,
        "revision": revision.number,
        "state": revision.state,
        "by": revision.by,
        "why": revision.why,
        "at_utc": revision.at_utc.isoformat(),
        "approved": _signed(revision.approved_by, revision.approved_why, revision.approved_utc),
        "retired": _signed(revision.retired_by, revision.retired_why, revision.retired_utc),
        "sha256": revision.sha256,
    }


def masks_document(masks: "Mapping[str, Mask]") -> dict[str, object]:
    """Return masks for JSON, as a file would hold them."""
    return {name: mask.model_dump(exclude_defaults=True) for name, mask in masks.items()}


def _signed(by: str, why: str, at: "datetime | None") -> dict[str, str] | None:
    return None if at is None else {"by": by, "why": why, "at_utc": at.isoformat()}


def _limit(mask: "Mask", side: "Side") -> str:
    from app.procedure.edit_masks import points_of, value_of
    from app.procedure.limit_words import amount, counted, frequency

    value, points = value_of(mask, side=side), points_of(mask, side=side)
    if value is not None:
        return amount(value, mask=mask)
    if not points:
        return "—"
    span = f"{frequency(points[0][0])} to {frequency(points[-1][0])}"
    return f"{counted(len(points), 'point')}, {span}"


def _ways(mask: "Mask") -> list[str]:
    ways = ["the reference unit"] if mask.relative_to else []
    return [*ways, "level taken out"] if mask.align else ways
