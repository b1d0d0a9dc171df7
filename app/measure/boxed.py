"""A unit that is to go into a box: what is known of it, and how well."""

from dataclasses import dataclass

from app.errors import BadInputError
from dsp.box.spread import ParameterCovariance
from dsp.box.unit import UNCERTAIN, BoxUnit

# Names as a person types them.
_AS_TYPED = {
    "fs_hz": "fs_hz",
    "qms": "qms",
    "qes": "qes",
    "vas_m3": "vas_l",
    "sd_m2": "sd_cm2",
    "re_ohm": "re_ohm",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Boxed:
    """A unit, how well it is known, and what a person should know about that.

    Attributes
    ----------
    unit : BoxUnit
        SI.
    known : ParameterCovariance or None
        None where no parameter states an uncertainty.
    warnings : tuple of str
        One sentence each.
    """

    unit: BoxUnit
    known: ParameterCovariance | None = None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What a person states of a unit, SI, by the names of ``BoxUnit``; None: not stated."""

    fs_hz: float | None = None
    qms: float | None = None
    qes: float | None = None
    vas_m3: float | None = None
    sd_m2: float | None = None
    re_ohm: float | None = None
    le_h: float | None = None
    xmax_m: float | None = None
    rated_power_w: float | None = None


def typed_unit(typed: Typed) -> Boxed:
    """Return the unit that a person typed, whole.

    Raises
    ------
    BadInputError
        A parameter is missing.
    """
    missing = [name for name in UNCERTAIN if getattr(typed, name) is None]
    if missing:
        raise BadInputError(
            "parameters",
            "missing",
            given=", ".join(_AS_TYPED[name] for name in missing),
            allowed="all of them typed, or a take that found them",
        )
    return Boxed(
        unit=BoxUnit(
            **{name: getattr(typed, name) for name in UNCERTAIN},
            le_h=typed.le_h or 0.0,
            xmax_m=typed.xmax_m,
            rated_power_w=typed.rated_power_w,
        )
    )
