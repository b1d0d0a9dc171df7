"""From a fitted unit and its absolute figures to a unit that goes into a box, correlations kept."""

import math
from dataclasses import replace

import numpy as np

from app.errors import BadInputError
from app.measure.boxed import Boxed, Typed
from dsp import Floats
from dsp.acoustic.air import Air
from dsp.box.spread import ParameterCovariance
from dsp.box.unit import UNCERTAIN, BoxUnit
from dsp.parameters.circuit import FRACTION_HZ
from dsp.parameters.estimates import Estimates
from dsp.parameters.fit import LumpedFit

_CMS, _VAS = "cms_mm_per_n", "vas_l"
_CREEP = "the suspension creeps, the prediction does not: low down the diaphragm moves further"


def boxed_of(
    estimates: Estimates,
    *,
    fit: LumpedFit,
    air: Air,
    typed: Typed,
    found_in: Air | None = None,
) -> Boxed:
    """Join the figures of one method with what was typed; what was typed counts, and as exact.

    Parameters
    ----------
    estimates : Estimates
        With the compliance, and with Vas where the area isn't typed.
    fit : LumpedFit
        What they stand on; gives the coil's inductance with its losses.
    air : Air
        That the prediction is for.
    typed : Typed
        As far as it is.
    found_in : Air or None
        In which the unit was measured; None: the same. The suspension is as stiff in any air.

    Returns
    -------
    Boxed

    Raises
    ------
    BadInputError
        No method has found the compliance, or nothing tells the area.
    """
    missing = [name for name in (_CMS, _VAS) if name not in estimates.names]
    if _CMS in missing or (missing and typed.sd_m2 is None):
        given = ", ".join(missing)
        raise BadInputError(
            "parameters",
            "not found in the take",
            given=given,
            allowed="a take with sd_cm2 or mms_g in its procedure",
        )
    slope = _slopes(estimates, area_typed=typed.sd_m2 is not None)
    values = _values(estimates, air=air, found_in=found_in or air, sd_m2=typed.sd_m2)
    for row, name in enumerate(UNCERTAIN):
        stated = getattr(typed, name)
        if stated is not None:
            values[name], slope[row] = stated, 0.0
    relative = estimates.covariance / np.outer(estimates.value, estimates.value)
    shared = slope @ relative @ slope.T
    reasons = {estimates.number(name).reason for name in _used(slope, estimates=estimates)}
    return Boxed(
        unit=_with_coil(
            BoxUnit(
                fs_hz=values["fs_hz"],
                qms=values["qms"],
                qes=values["qes"],
                vas_m3=values["vas_m3"],
                sd_m2=values["sd_m2"],
                re_ohm=values["re_ohm"],
                xmax_m=typed.xmax_m,
                rated_power_w=typed.rated_power_w,
            ),
            fit=fit,
            typed=typed,
        ),
        known=ParameterCovariance(covariance=(shared + shared.T) / 2),
        warnings=(*sorted(reasons - {""}), *([_CREEP] if fit.circuit.creep else [])),
    )


def _slopes(estimates: Estimates, *, area_typed: bool) -> Floats:
    # Of the six logarithms by those of the estimates, (6, m).
    slope = np.zeros((len(UNCERTAIN), len(estimates.names)))

    def by(parameter: str, figure: str, amount: float) -> None:
        slope[UNCERTAIN.index(parameter), estimates.names.index(figure)] = amount

    for name in ("fs_hz", "qms", "qes", "re_ohm"):
        by(name, name, 1.0)
    if area_typed:
        by("vas_m3", _CMS, 1.0)
    else:  # Vas = rho c2 Sd2 Cms
        by("vas_m3", _VAS, 1.0)
        by("sd_m2", _VAS, 0.5)
        by("sd_m2", _CMS, -0.5)
    return slope


def _values(
    estimates: Estimates, *, air: Air, found_in: Air, sd_m2: float | None
) -> dict[str, float]:
    found = dict(zip(estimates.names, estimates.value.tolist(), strict=True))
    cms = 1e-3 * found[_CMS]
    area = sd_m2 or math.sqrt(1e-3 * found[_VAS] / (_stiff_pa(found_in) * cms))
    return {
        **{name: found[name] for name in ("fs_hz", "qms", "qes", "re_ohm")},
        "vas_m3": _stiff_pa(air) * area**2 * cms,
        "sd_m2": area,
    }


def _stiff_pa(air: Air) -> float:
    return air.density_kg_per_m3 * air.speed_m_per_s**2


def _used(slope: Floats, *, estimates: Estimates) -> list[str]:
    columns = np.flatnonzero(np.any(slope != 0, axis=0))
    return [estimates.names[column] for column in columns]


def _with_coil(unit: BoxUnit, *, fit: LumpedFit, typed: Typed) -> BoxUnit:
    if typed.le_h is not None:
        return replace(unit, le_h=typed.le_h)
    found = {name: fit.circuit.value(fit.vector, name=name) for name in fit.circuit.names}
    pairs = [
        (found[henry], found[ohm])
        for henry, ohm in (("l2_h", "r2_ohm"), ("l3_h", "r3_ohm"))
        if henry in found
    ]
    semi = (0.0, 0.5)
    if "k_ohm" in found:  # told at 1 kHz there, at 1 rad/s here
        power = found["exponent"]
        semi = (found["k_ohm"] / (2 * math.pi * FRACTION_HZ) ** power, power)
    return replace(unit, le_h=found.get("le_h", 0.0), pairs=tuple(pairs), semi=semi)
