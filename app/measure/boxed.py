"""From the small-signal parameters of a take, or typed ones, to a unit that goes into a box."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.errors import BadInputError
from dsp import Number
from dsp.acoustic.air import Air
from dsp.box.spread import ParameterCovariance
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
    known : ParameterCovariance or None
        None where no parameter states an uncertainty.
    warnings : tuple of str
        One sentence each.
    """

    unit: BoxUnit
    known: ParameterCovariance | None
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


def unit_of(
    typed: Typed,
    *,
    air: Air,
    numbers: Mapping[str, Number] | None = None,
    found_in: Air | None = None,
) -> Boxed:
    """Join what was typed with what a take found; what was typed counts, and counts as exact.

    Parameters
    ----------
    typed : Typed
        As far as it is.
    air : Air
        That the prediction is for; a typed Vas belongs to it.
    numbers : mapping or None
        Of a take. Its Vas and compliance tell the area, where nobody typed that.
    found_in : Air or None
        The take's; None: the same.

    Returns
    -------
    Boxed

    Raises
    ------
    BadInputError
        A parameter is neither typed nor found.
    """
    found = _in_si(numbers or {}, air=found_in or air)
    if found_in is not None and "vas_m3" in found:  # the suspension is as stiff in any air
        found["vas_m3"] = _scaled(found["vas_m3"], _stiff_pa(air) / _stiff_pa(found_in))
    stated = {name: getattr(typed, name) for name in UNCERTAIN}
    taken = {name: found[name] for name in UNCERTAIN if stated[name] is None and name in found}
    missing = [
        _OF_TAKE[name][0] for name in UNCERTAIN if stated[name] is None and name not in taken
    ]
    if missing:
        raise BadInputError(
            "parameters", "missing", given=", ".join(missing), allowed="typed, or found in a take"
        )
    values = {name: taken[name].value if name in taken else stated[name] for name in UNCERTAIN}
    relative = {
        name: one.uncertainty / one.k / abs(one.value)
        for name, one in taken.items()
        if one.uncertainty is not None
    }
    warnings = [f"{_OF_TAKE[name][0]}: {one.reason}" for name, one in taken.items() if one.reason]
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
            le_h=_inductance(typed, numbers=numbers or {}),
            xmax_m=typed.xmax_m,
            rated_power_w=typed.rated_power_w,
        ),
        known=ParameterCovariance.independent(**relative) if relative else None,
        warnings=tuple(warnings),
    )


def _in_si(numbers: Mapping[str, Number], *, air: Air) -> dict[str, Number]:
    found = {
        name: _scaled(numbers[source], scale)
        for name, (source, scale) in _OF_TAKE.items()
        if source in numbers
    }
    volume, compliance = found.get("vas_m3"), numbers.get("cms_mm_per_n")
    if "sd_m2" not in found and volume is not None and compliance is not None:
        found["sd_m2"] = _area(volume, compliance=_scaled(compliance, 1e-3), air=air)
    return found


def _stiff_pa(air: Air) -> float:
    return air.density_kg_per_m3 * air.speed_m_per_s**2


def _scaled(number: Number, scale: float) -> Number:
    doubt = number.uncertainty
    return replace(
        number,
        value=number.value * scale,
        uncertainty=None if doubt is None else doubt * scale,
    )


def _area(volume: Number, *, compliance: Number, air: Air) -> Number:
    # Vas = rho c2 Sd2 Cms (Small 1972), the other way round.
    value = math.sqrt(volume.value / (_stiff_pa(air) * compliance.value))
    if volume.uncertainty is None or compliance.uncertainty is None:
        return Number(value=value, unit="m2")
    relative = math.hypot(
        volume.uncertainty / volume.k / volume.value,
        compliance.uncertainty / compliance.k / compliance.value,
    )
    return Number(value=value, unit="m2", uncertainty=value * relative)  # half of it, times k = 2


def _inductance(typed: Typed, *, numbers: Mapping[str, Number]) -> float:
    if typed.le_h is not None:
        return typed.le_h
    number = numbers.get("le_mh")
    return 1e-3 * number.value if number else 0.0
