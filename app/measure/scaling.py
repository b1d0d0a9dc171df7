"""Absolute parameters of a stored take by any method, a second take among them."""

from dataclasses import dataclass, replace
from typing import Literal, TypeVar, assert_never

from app.errors import BadInputError
from app.measure.unit_fit import UnitFit
from dsp.parameters.estimates import Estimates
from dsp.parameters.fit import LumpedFit
from dsp.parameters.methods import added_mass, closed_box, known_mass
from dsp.parameters.one_take import PressurePerCurrent, one_take
from dsp.parameters.small_signal import LE_HZ, small_signal
from dsp.parameters.surroundings import Known

T = TypeVar("T")
ScaleKind = Literal["none", "added_mass", "closed_box", "known_mass", "pressure"]
WITH_SECOND: frozenset[ScaleKind] = frozenset({"added_mass", "closed_box"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Scaling:
    """How the moving mass is found.

    Attributes
    ----------
    kind : str
        ``none``: what the impedance tells by itself.
    amount : Known or None
        kg of the added or of the moving mass; m3 of the box.
    second : str
        Id of the take with the mass, or in the box.
    sd_m2 : Known or None
        m2, half of the surround included.
    le_hz : float
        Hz, where the inductance is stated.
    """

    kind: ScaleKind = "none"
    amount: Known | None = None
    second: str = ""
    sd_m2: Known | None = None
    le_hz: float = LE_HZ


def scaled(
    first: UnitFit,
    *,
    scaling: Scaling,
    second: LumpedFit | None = None,
    heard: PressurePerCurrent | None = None,
) -> Estimates:
    """Find all figures of a unit.

    Parameters
    ----------
    first : UnitFit
        The unit by itself.
    scaling : Scaling
        How.
    second : LumpedFit or None
        Of the take that ``scaling`` names.
    heard : PressurePerCurrent or None
        Of the first take, where its pressure is the scale.

    Raises
    ------
    BadInputError
        Something that the method needs is missing.
    DspError
        The method cannot tell from what it has.
    """
    kind, le_hz, fit = scaling.kind, scaling.le_hz, first.fit
    place = replace(first.place, sd_m2=scaling.sd_m2)
    match kind:
        case "none":
            return small_signal(fit, le_hz=le_hz)
        case "added_mass":
            loaded, mass = _given(second, "second take"), _given(scaling.amount, "mass")
            return added_mass(fit, loaded=loaded, mass_kg=mass, surroundings=place, le_hz=le_hz)
        case "closed_box":
            boxed, volume = _given(second, "second take"), _given(scaling.amount, "volume")
            return closed_box(fit, boxed=boxed, volume_m3=volume, surroundings=place, le_hz=le_hz)
        case "known_mass":
            mass = _given(scaling.amount, "moving mass")
            return known_mass(fit, mms_kg=mass, surroundings=place, le_hz=le_hz)
        case "pressure":
            _given(scaling.sd_m2, "area")
            pressure = _given(heard, "pressure")
            return one_take(fit, heard=pressure, surroundings=place, le_hz=le_hz)
        case _:
            assert_never(kind)


def _given(value: T | None, name: str) -> T:
    if value is None:
        raise BadInputError("parameters", f"{name} not given")
    return value
