"""From the small-signal parameters of a take, or typed ones, to a unit that goes into a box."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.errors import BadInputError
from dsp import Number
from dsp.box.spread import Known
from dsp.box.unit import UNCERTAIN, BoxUnit

# Name of a take's number, and what of the number's unit its SI unit is.
_OF_TAKE = {
    "fs_hz": ("fs_hz", 1.0),
    "qms": ("qms", 1.0),
    "qes": ("qes", 1.0),
    "vas_m3": ("vas_l", 1e-3),
    "sd_m2": ("sd_cm2", 1e-4),
    "re_ohm": ("re_ohm", 1.0),
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Boxed:
    """A unit, how well it is known, and what a person should know about that.

    Attributes
    ----------
    unit : BoxUnit
        SI.
    known : Known or None
        None where no parameter states an uncertainty.
    warnings : tuple of str
        One sentence each.
    """

    unit: BoxUnit
    known: Known | None
    warnings: tuple[str, ...]


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


def unit_of(typed: Typed, *, numbers: Mapping[str, Number] | None = None) -> Boxed:
    """Join what was typed with what a take found; what was typed counts, and counts as exact.

    Parameters
    ----------
    typed : Typed
        As far as it is.
    numbers : mapping or None
        Of a take.

    Returns
    -------
    Boxed

    Raises
    ------
    BadInputError
        A parameter is neither typed nor found.
    """
    found = numbers or {}
    values: dict[str, float] = {}
    relative: dict[str, float] = {}
    warnings = []
    for name in UNCERTAIN:
        source, scale = _OF_TAKE[name]
        stated, number = getattr(typed, name), found.get(source)
        if stated is not None:
            values[name] = stated
        elif number is not None:
            values[name] = number.value * scale
            if number.uncertainty is not None:
                relative[name] = number.uncertainty / number.k / abs(number.value)
            if not number.trusted:
                warnings.append(f"{source}: {number.reason}")
    missing = [_OF_TAKE[name][0] for name in UNCERTAIN if name not in values]
    if missing:
        raise BadInputError(
            "parameters", "missing", given=", ".join(missing), allowed="typed, or found in a take"
        )
    if len(relative) > 1:
        warnings.append("intervals take the uncertainties of the parameters as independent")
    return Boxed(
        unit=BoxUnit(
            fs_hz=values["fs_hz"],
            qms=values["qms"],
            qes=values["qes"],
            vas_m3=values["vas_m3"],
            sd_m2=values["sd_m2"],
            re_ohm=values["re_ohm"],
            le_h=_inductance(typed, found=found),
            xmax_m=typed.xmax_m,
            rated_power_w=typed.rated_power_w,
        ),
        known=Known.independent(**relative) if relative else None,
        warnings=tuple(warnings),
    )


def _inductance(typed: Typed, *, found: Mapping[str, Number]) -> float:
    if typed.le_h is not None:
        return typed.le_h
    number = found.get("le_mh")
    return 1e-3 * number.value if number else 0.0
