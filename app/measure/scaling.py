"""Absolute parameters of a stored take by any method, a second take among them."""

from dataclasses import dataclass
from typing import Literal, TypeVar, assert_never

from app.errors import BadInputError
from app.measure.again import Opened
from app.measure.parameters import heard_of, surroundings_of
from app.measure.unit_fit import UnitFit, scene_of
from dsp.parameters.estimates import Estimates
from dsp.parameters.methods import added_mass, closed_box, known_mass
from dsp.parameters.one_take import one_take
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
    first: UnitFit, *, opened: Opened, scaling: Scaling, second: UnitFit | None = None
) -> Estimates:
    """Find all figures of a unit.

    Parameters
    ----------
    first, opened : UnitFit, Opened
        The unit by itself.
    scaling : Scaling
        How.
    second : UnitFit or None
        The take that ``scaling`` names.

    Raises
    ------
    BadInputError
        Something that the method needs is missing.
    DspError
        The method cannot tell from what it has.
    """
    kind, le_hz = scaling.kind, scaling.le_hz
    if kind == "none":
        return small_signal(first.fit, le_hz=le_hz)
    scene = scene_of(opened, hears=kind == "pressure")
    place = surroundings_of(scene, area=scaling.sd_m2)
    match kind:
        case "added_mass":
            return added_mass(
                first.fit,
                loaded=_given(second, "second take").fit,
                mass_kg=_given(scaling.amount, "mass"),
                surroundings=place,
                le_hz=le_hz,
            )
        case "closed_box":
            return closed_box(
                first.fit,
                boxed=_given(second, "second take").fit,
                volume_m3=_given(scaling.amount, "volume"),
                surroundings=place,
                le_hz=le_hz,
            )
        case "known_mass":
            mass = _given(scaling.amount, "moving mass")
            return known_mass(first.fit, mms_kg=mass, surroundings=place, le_hz=le_hz)
        case "pressure":
            heard = heard_of(scene)
            _given(scaling.sd_m2, "area")
            if heard is None:
                raise BadInputError(
                    "parameters",
                    "no pressure that tells the mass",
                    allowed="a microphone, with the unit on a baffle or in its near field",
                )
            return one_take(first.fit, heard=heard, surroundings=place, le_hz=le_hz)
        case _:
            assert_never(kind)


def _given(value: T | None, name: str) -> T:
    if value is None:
        raise BadInputError("parameters", f"{name} not given")
    return value
