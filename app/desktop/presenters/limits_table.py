"""Break points of a mask, a row a point, as they are typed."""

from dataclasses import dataclass

from app.desktop.presenters.limits_figures import hz_typed, limit_text
from app.desktop.presenters.limits_point import Chosen
from app.procedure.edit_masks import SIDES, points_of
from app.procedure.mask_schema import Mask


@dataclass(frozen=True, slots=True, kw_only=True)
class PointRow:
    """One point: which it is, what it is exactly, and how it is written."""

    place: Chosen
    hz: float
    value: float
    cells: tuple[str, str, str]


def point_rows(mask: Mask | None) -> tuple[PointRow, ...]:
    """List the points of both limits, upper first, each by rising frequency."""
    if mask is None:
        return ()
    return tuple(
        PointRow(
            place=Chosen(side=side, index=index),
            hz=hz,
            value=value,
            cells=(side, hz_typed(hz), limit_text(value, mask=mask)),
        )
        for side in SIDES
        for index, (hz, value) in enumerate(points_of(mask, side=side))
    )
