"""What absolute figures need beside impedances: the area that moves air, and the air."""

import math
from dataclasses import dataclass
from typing import Literal, Self

import numpy as np

from dsp.acoustic.air import Air, air
from dsp.arrays import Floats, read_only
from dsp.errors import DspError

Mounting = Literal["baffle", "free"]
_EXPANDED_PERCENT = 200  # of an expanded uncertainty in %, k = 2, in a standard one
_STEP_C, _STEP_KPA, _STEP_PERCENT = 0.05, 0.05, 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A value that was measured or stated, above 0, in the unit of the field that holds it.

    Attributes
    ----------
    value : float
        Above 0.
    standard : float
        Standard uncertainty (k = 1), same unit.
    """

    value: float
    standard: float = 0.0

    @classmethod
    def stated(cls, value: float, *, percent: float) -> Self:
        """Take over a value whose expanded uncertainty, k = 2, is stated in % of it.

        Returns
        -------
        Known
        """
        return cls(value=value, standard=value * percent / _EXPANDED_PERCENT)

    def __post_init__(self) -> None:
        if not (self.value > 0 and self.standard >= 0):
            given = (self.value, self.standard)
            raise DspError("Known", "not positive", given=given, allowed="above 0, and from 0")

    @property
    def log(self) -> float:
        """Natural logarithm of the value."""
        return math.log(self.value)

    @property
    def relative(self) -> float:
        """Standard uncertainty over the value."""
        return self.standard / self.value


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class KnownAir:
    """Air, and how sure it is.

    Attributes
    ----------
    air : Air
        Density and speed of sound.
    covariance : (2, 2) array
        Of the logarithms of density and speed.
    """

    air: Air
    covariance: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "covariance", read_only(self.covariance))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Surroundings:
    """Where the unit moves.

    Attributes
    ----------
    air : KnownAir
        Around it.
    sd_m2 : Known or None
        m2, effective area; None where it is not known: then no figure that needs it.
    mounting : str
        ``baffle``: both sides load the cone apart; ``free``: they are not parted.
    """

    air: KnownAir
    sd_m2: Known | None = None
    mounting: Mounting = "free"


def known_air(
    *,
    temperature_c: float,
    pressure_kpa: float,
    humidity_percent: float,
    temperature_standard_c: float = 0.5,
    pressure_standard_kpa: float = 0.1,
    humidity_standard_percent: float = 5.0,
) -> KnownAir:
    """Find density and speed of sound from readings with their uncertainties.

    Parameters
    ----------
    temperature_c, pressure_kpa, humidity_percent : float
        As ``dsp.acoustic.air.air`` takes them.
    temperature_standard_c, pressure_standard_kpa, humidity_standard_percent : float
        Standard uncertainties of the readings, same units.

    Returns
    -------
    KnownAir
    """
    here = air(
        temperature_c=temperature_c, pressure_kpa=pressure_kpa, humidity_percent=humidity_percent
    )
    damp = _STEP_PERCENT if humidity_percent < 50 else -_STEP_PERCENT  # stays within 0 to 100 %
    columns = [
        _logs(air(temperature_c=t, pressure_kpa=p, humidity_percent=h)) - _logs(here)
        for t, p, h in (
            (temperature_c + _STEP_C, pressure_kpa, humidity_percent),
            (temperature_c, pressure_kpa + _STEP_KPA, humidity_percent),
            (temperature_c, pressure_kpa, humidity_percent + damp),
        )
    ]
    slope = np.stack(columns, axis=1) / np.array([_STEP_C, _STEP_KPA, damp])
    spread = np.array([temperature_standard_c, pressure_standard_kpa, humidity_standard_percent])
    return KnownAir(air=here, covariance=(slope * spread**2) @ slope.T)


def piston_area(
    *, cone_diameter_m: float, surround_outer_diameter_m: float, standard_m: float
) -> Known:
    """Find the effective area of a cone with its surround: half of the surround moves with it.

    Common practice: the surround moves by all of the cone's way at its inner edge and by nothing
    at its outer one, so that the piston that moves as much air reaches to its middle.

    Parameters
    ----------
    cone_diameter_m : float
        m, across the cone, where the surround begins.
    surround_outer_diameter_m : float
        m, across the surround's outer edge; ``cone_diameter_m`` for a unit without one.
    standard_m : float
        m, standard uncertainty of the effective diameter: the reading's and that of the practice.

    Returns
    -------
    Known, m2.

    Raises
    ------
    DspError
        A surround that is smaller than the cone.
    """
    if not 0 < cone_diameter_m <= surround_outer_diameter_m:
        given = (cone_diameter_m, surround_outer_diameter_m)
        raise DspError("piston_area", "diameters", given=given, allowed="above 0, outer not less")
    across = (cone_diameter_m + surround_outer_diameter_m) / 2
    area = math.pi / 4 * across**2
    return Known(value=area, standard=area * 2 * standard_m / across)


def _logs(here: Air) -> Floats:
    return np.log([here.density_kg_per_m3, here.speed_m_per_s])
