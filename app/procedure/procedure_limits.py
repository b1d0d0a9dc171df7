"""Which limits a procedure runs: the masks of a numbered revision, or masks of its own."""

from collections.abc import Mapping

from app.procedure.mask_schema import Mask
from app.procedure.schema import LimitsNamed, Procedure


def with_revision(
    procedure: Procedure, masks: Mapping[str, Mask], *, limit_set: str, revision: int
) -> Procedure:
    """Give a procedure the masks of a revision of a limit set, and name that revision in it."""
    named = LimitsNamed(set=limit_set, revision=revision)
    return procedure.model_copy(update={"masks": dict(masks), "limits": named})


def with_own_masks(procedure: Procedure, masks: Mapping[str, Mask]) -> Procedure:
    """Give a procedure other masks; the revision that it named is no longer what it runs."""
    named = procedure.limits if masks == procedure.masks else None
    return procedure.model_copy(update={"masks": dict(masks), "limits": named})
