"""The chosen point of a mask as numbers, or the single limits of a number."""

from dataclasses import dataclass

from app.desktop.presenters.limits_figures import hz_typed, limit_text, step_of, unit_of
from app.procedure.edit_masks import Side, points_of, value_of
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A break point: which limit, and its place from 0 (0 where the limit is a single value)."""

    side: Side
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PointState:
    """What the fields show.

    Attributes
    ----------
    title, fact : str
        Head of the section.
    at : str or None
        Hz; None where there is no frequency to set.
    limits : tuple of (Side, label, text)
        One for a point; upper and lower for a number.
    guard : str
        Times the interval.
    unit : str
        Of the limits.
    step : float
        Of the limits.
    """

    title: str
    fact: str
    at: str | None
    limits: tuple[tuple[Side, str, str], ...]
    guard: str
    unit: str
    step: float


def point_state(mask: Mask | None, *, chosen: Chosen | None) -> PointState | None:
    """Return what the fields show; None where there is nothing to type into."""
    if mask is None:
        return None
    unit, step = unit_of(mask.quantity), step_of(mask.quantity)
    guard = f"{mask.guard:.6f}".rstrip("0")
    guard += "0" if guard.endswith(".") else ""
    if mask.quantity in NUMBERS:
        return PointState(
            title="Limits",
            fact="one value for all",
            at=None,
            limits=(
                ("upper", "Upper", limit_text(value_of(mask, side="upper"), mask=mask)),
                ("lower", "Lower", limit_text(value_of(mask, side="lower"), mask=mask)),
            ),
            guard=guard,
            unit=unit,
            step=step,
        )
    at, limits, fact = None, _no_limit(), "none"
    if chosen is not None:
        points = points_of(mask, side=chosen.side)
        if chosen.index < len(points):
            hz, value = points[chosen.index]
            at = hz_typed(hz)
            limits = ((chosen.side, "Limit", limit_text(value, mask=mask)),)
            fact = f"{chosen.index + 1} of {len(points)} {chosen.side}"
        elif (single := value_of(mask, side=chosen.side)) is not None:
            limits = ((chosen.side, "Limit", limit_text(single, mask=mask)),)
            fact = f"{chosen.side}, one value for all"
    return PointState(
        title="Chosen point", fact=fact, at=at, limits=limits, guard=guard, unit=unit, step=step
    )


def _no_limit() -> tuple[tuple[Side, str, str], ...]:
    return (("upper", "Limit", ""),)
