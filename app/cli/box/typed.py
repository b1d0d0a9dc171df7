"""Parameters as they are typed, in the trade's units, as SI."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # slow to import
    from app.cli.box import options
    from app.measure.boxed import Typed


def typed_of(given: "options.Typed") -> "Typed":
    """Return what was typed, SI; None stays None."""
    from app.measure.boxed import Typed

    return Typed(
        fs_hz=given.fs_hz,
        qms=given.qms,
        qes=given.qes,
        vas_m3=_times(given.vas_l, 1e-3),
        sd_m2=_times(given.sd_cm2, 1e-4),
        re_ohm=given.re_ohm,
        le_h=_times(given.le_mh, 1e-3),
        xmax_m=_times(given.xmax_mm, 1e-3),
        rated_power_w=given.rated_power_w,
    )


def _times(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale
