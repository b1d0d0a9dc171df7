"""Parameters as they are typed, in the trade's units, as SI."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # slow to import
    from app.measure.boxed import Typed


def typed_of(
    *,
    fs_hz: float | None,
    qms: float | None,
    qes: float | None,
    vas_l: float | None,
    sd_cm2: float | None,
    re_ohm: float | None,
    le_mh: float | None,
    xmax_mm: float | None,
    rated_power_w: float | None,
) -> "Typed":
    """Return what was typed, SI; None stays None."""
    from app.measure.boxed import Typed

    return Typed(
        fs_hz=fs_hz,
        qms=qms,
        qes=qes,
        vas_m3=_times(vas_l, 1e-3),
        sd_m2=_times(sd_cm2, 1e-4),
        re_ohm=re_ohm,
        le_h=_times(le_mh, 1e-3),
        xmax_m=_times(xmax_mm, 1e-3),
        rated_power_w=rated_power_w,
    )


def _times(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale
