"""The list of masks: how many units fail each, and what margin the worst 5 % have."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.desktop.presenters.figures import NONE
from app.desktop.presenters.limits_figures import margin_text, mask_title
from app.measure.rejudge import Judged
from app.procedure.mask_schema import Mask


@dataclass(frozen=True, slots=True, kw_only=True)
class MaskRow:
    """One mask: its name in the procedure, and the words of its row."""

    key: str
    title: str
    fails: str
    margin: str


def mask_rows(masks: Mapping[str, Mask], *, judged: Judged | None) -> tuple[MaskRow, ...]:
    """List the masks of a draft; dashes where no unit was judged."""
    return tuple(_row(name, mask, judged=judged) for name, mask in masks.items())


def _row(name: str, mask: Mask, *, judged: Judged | None) -> MaskRow:
    found = judged.masks.get(name) if judged is not None else None
    if found is None or not found.fails.size:
        return MaskRow(key=name, title=mask_title(name), fails=NONE, margin=NONE)
    counts = mask.quantity not in {"polarity", "impulse_count"}
    return MaskRow(
        key=name,
        title=mask_title(name),
        fails=str(int(found.fails.sum())),
        margin=margin_text(found.worst_margin, quantity=mask.quantity) if counts else NONE,
    )
