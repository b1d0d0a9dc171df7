"""From the pressure close to a radiator to the pressure far away, in half space."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.acoustic.air import Air
from dsp.arrays import Complexes, Floats
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.near_field.response import Response
from dsp.statistics.decibel import relative_to_db

HIGHEST_KA = 1.0  # without correction a near field reads 0.37 dB low there (Keele 1974)
_HELD_KA = 2.0  # the piston's correction is not followed further: 1.5 dB there
REASON = "near field"


@dataclass(frozen=True, slots=True, kw_only=True)
class Radiator:
    """What the microphone stands in front of: a diaphragm, or the mouth of a vent.

    Attributes
    ----------
    area_m2 : float
        m2; of a diaphragm half of the surround included.
    gap_m : float
        m from its middle to the microphone.
    area_percent, gap_uncertainty_m : float
        %, m; expanded, k = 2.
    count : int
        So many equal ones of which one was measured.
    """

    area_m2: float
    gap_m: float
    area_percent: float = 0.0
    gap_uncertainty_m: float = 0.0
    count: int = 1

    def __post_init__(self) -> None:
        if not 0 < self.area_m2 < math.inf:
            raise DspError("Radiator", "area", given=self.area_m2, allowed="above 0 m2")
        if not 0 <= self.gap_m < math.inf:
            raise DspError("Radiator", "gap", given=self.gap_m, allowed="from 0 m")
        if not (self.area_percent >= 0 and self.gap_uncertainty_m >= 0 and self.count >= 1):
            raise DspError("Radiator", "negative uncertainty, or none of it")

    @property
    def radius_m(self) -> float:
        """Radius of a disc of the same area, m."""
        return math.sqrt(self.area_m2 / math.pi)

    def valid(self, *, air: Air) -> ValidRange:
        """Tell up to where a near field stands for the far field.

        Parameters
        ----------
        air : Air
            Speed of sound.

        Returns
        -------
        ValidRange from 0 Hz to ka = 1.
        """
        high_hz = HIGHEST_KA * air.speed_m_per_s / (2 * math.pi * self.radius_m)
        return ValidRange(low_hz=0.0, high_hz=high_hz, low_reason=REASON, high_reason=REASON)


def far_over_near(
    radiator: Radiator, *, frequency_hz: Floats, distance_m: float, air: Air
) -> Complexes:
    """Find by what the near pressure of a baffled rigid piston is to be multiplied.

    Parameters
    ----------
    radiator : Radiator
        Its area and the gap; one of it.
    frequency_hz : (m,) array
        Hz, above 0.
    distance_m : float
        m, far away.
    air : Air
        Speed of sound.

    Returns
    -------
    (m,) complex array: a2 / (2 r g) at low frequencies, g = root(z2 + a2) - z, which is a / (2 r)
    without a gap (D. B. Keele, J. Audio Eng. Soc. 22 (1974) 154), over the piston's own sin(x) / x
    of x = k g / 2 (L. E. Kinsler et al., Fundamentals of Acoustics), held above ka = 2; the way
    from near to far as a delay.
    """
    a, z = radiator.radius_m, radiator.gap_m
    rim_m = math.hypot(z, a)
    further_m = a**2 / (rim_m + z)  # root(z2 + a2) - z, without cancelling
    held_hz = _HELD_KA * air.speed_m_per_s / (2 * math.pi * a)
    near = further_m * np.sinc(np.minimum(frequency_hz, held_hz) * further_m / air.speed_m_per_s)
    way_s = (distance_m - (rim_m + z) / 2) / air.speed_m_per_s
    ratio: Complexes = a**2 / (2 * distance_m * near) * np.exp(-2j * np.pi * frequency_hz * way_s)
    return ratio


def scale_db(radiator: Radiator, *, frequency_hz: Floats, air: Air) -> Floats:
    """Find how uncertain the step from near to far is.

    Parameters
    ----------
    radiator : Radiator
        With the uncertainties of area and gap.
    frequency_hz : (m,) array
        Hz, above 0.
    air : Air
        Speed of sound.

    Returns
    -------
    (m,) array, dB, standard: area, gap, and a rectangle as wide as what the piston's form corrects
    to either side, for a cone is no piston.
    """

    def level(varied: Radiator) -> Floats:
        ratio = far_over_near(varied, frequency_hz=frequency_hz, distance_m=1.0, air=air)
        return np.asarray(20 * np.log10(np.abs(ratio)))

    here, step = level(radiator), 1e-4
    by_area = (level(replace(radiator, area_m2=radiator.area_m2 * (1 + step))) - here) / step
    nudge = step * radiator.radius_m
    by_gap = (level(replace(radiator, gap_m=radiator.gap_m + nudge)) - here) / nudge
    low = frequency_hz[0] * 1e-3
    at_rest = far_over_near(radiator, frequency_hz=np.array([low]), distance_m=1.0, air=air)
    corrected = here - 20 * math.log10(abs(at_rest[0]))
    parts = (
        by_area * radiator.area_percent / 200,
        by_gap * radiator.gap_uncertainty_m / 2,
        corrected / math.sqrt(3),
    )
    total: Floats = np.sqrt(np.sum(np.square(parts), axis=0))
    return total


def far_level(level: Curve, *, radiator: Radiator, distance_m: float, air: Air) -> Curve:
    """Carry a level from where the near microphone stood to the far field.

    Parameters
    ----------
    level : Curve
        dB, at the microphone.
    radiator : Radiator
        What it stood in front of.
    distance_m : float
        m that the level is to be stated for, by 1/r in half space.
    air : Air
        Speed of sound.

    Returns
    -------
    Curve of all ``count`` radiators, with the uncertainty of area, gap and form, valid up to ka = 1
    for the reason ``near field``.
    """
    hz, doubt = level.frequency_hz, level.uncertainty
    ratio = far_over_near(radiator, frequency_hz=hz, distance_m=distance_m, air=air)
    if doubt is not None:
        doubt = np.hypot(doubt, 2 * scale_db(radiator, frequency_hz=hz, air=air))
    return replace(
        level,
        value=level.value + 20 * np.log10(radiator.count * np.abs(ratio)),
        uncertainty=doubt,
        valid=level.valid.within(radiator.valid(air=air)),
        how=f"near field, {level.how}",
    )


def moved_out(near: Response, *, radiator: Radiator, distance_m: float, air: Air) -> Response:
    """Give a near field the far field's delay and leave its level alone.

    Parameters
    ----------
    near : Response
        Phase as the microphone heard it.
    radiator : Radiator
        What it stood in front of.
    distance_m : float
        m, where it is to be heard.
    air : Air
        Speed of sound.

    Returns
    -------
    Response.
    """
    rim_m = math.hypot(radiator.gap_m, radiator.radius_m)
    way_s = (distance_m - (rim_m + radiator.gap_m) / 2) / air.speed_m_per_s
    return replace(
        near,
        pressure=near.pressure * np.exp(-2j * np.pi * near.frequency_hz * way_s),
        delay_s=near.delay_s + way_s,
    )


def together(first: Response, *others: Response) -> Response:
    """Add what diaphragm and vents send to the same far place, phases included.

    Parameters
    ----------
    first, *others : Response
        At the same frequencies and counted from the same moment.

    Returns
    -------
    Response, valid where all are. Uncertainties add as independent arrows: where the parts cancel,
    little is known.

    Raises
    ------
    DspError
        Frequencies differ.
    """
    total = first.pressure.copy()
    level = (np.abs(first.pressure) * first.level_db) ** 2
    phase = (np.abs(first.pressure) * first.phase_deg) ** 2
    valid = first.valid
    for other in others:
        if not np.array_equal(other.frequency_hz, first.frequency_hz):
            raise DspError("together", "frequencies differ")
        total += other.pressure
        level += (np.abs(other.pressure) * other.level_db) ** 2
        phase += (np.abs(other.pressure) * other.phase_deg) ** 2
        valid = valid.within(other.valid)
    # An arrow's angle moves the sum's length where the parts differ in phase, and the other way.
    sideways = np.hypot(np.sqrt(level), relative_to_db(np.radians(np.sqrt(phase))))
    doubt_db = sideways / np.abs(total) if others else first.level_db
    doubt_deg = np.degrees(doubt_db / relative_to_db(1.0)) if others else first.phase_deg
    return replace(first, pressure=total, level_db=doubt_db, phase_deg=doubt_deg, valid=valid)
