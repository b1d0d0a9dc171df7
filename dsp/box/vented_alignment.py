"""Vented box: which volume and tuning give a smooth response with the Qts that a unit has."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import brentq

from dsp.arrays import Floats
from dsp.box.enclosure import VentedBox
from dsp.box.unit import BoxUnit
from dsp.errors import DspError

LowFamily = Literal["QB3", "SC4"]
Family = Literal["QB3", "B4", "C4", "SC4"]

_B4_A1 = 4 * math.cos(math.pi / 8) * math.cos(math.pi / 4)  # 2.6131, s3 of Butterworth's fourth
_WIDEST_A1 = 40.0  # QB3 for a lossless Qts of 0.004
_FLATTEST_K = 0.25  # C4 with 2.3 dB of ripple; beyond, nobody calls it flat
_STEEPEST_K = 30.0
_LEAKIEST = 5.0  # below, the ends of these families need a box without end


@dataclass(frozen=True, slots=True, kw_only=True)
class VentedAlignment:
    """A vented response, by its numbers against the unit's.

    Attributes
    ----------
    family : str
        ``B4`` Butterworth of fourth order, ``C4`` Chebyshev (below a cutoff that lies lower, with a
        ripple), ``QB3`` of third order in the main and ``SC4`` below Chebyshev (both for low Qts).
    qts : float
        Of unit, amplifier and leads together.
    tuning_ratio : float
        fb / fs, h.
    alpha : float
        Vas / Vb.
    f3_ratio : float
        f3 / fs.
    ripple_db : float
        dB, highest above the flat part.
    """

    family: Family
    qts: float
    tuning_ratio: float
    alpha: float
    f3_ratio: float
    ripple_db: float


def vented_alignment(
    qts: float, *, q_leakage: float = math.inf, low_family: LowFamily = "QB3"
) -> VentedAlignment:
    """Find the alignment for a total quality factor.

    Parameters
    ----------
    qts : float
        Total quality factor of the unit, source resistance included.
    q_leakage : float
        Of the box at its tuning; infinite: without loss.
    low_family : str
        What to take where Qts is below that of B4.

    Returns
    -------
    VentedAlignment: C4 above the Qts of B4, B4 within a part in 1e6 of it, otherwise
    ``low_family``.

    Raises
    ------
    DspError
        Qts for which no member of the families exists, or whose ripple would exceed 2.3 dB; a box
        that leaks with a quality factor below 5.

    Notes
    -----
    A. N. Thiele, J. Audio Eng. Soc. 19 (1971) 382 and 471; leaks after R. H. Small, J. Audio Eng.
    Soc. 21 (1973) 363: with r the root of fb / fs and normalised coefficients a1 to a3 of the
    denominator, a1 r = 1/Qts + r2/QL, a3 r = r2/Qts + 1/QL, a2 r2 = alpha + 1 + r4 + r2/(Qts QL).
    """
    if not q_leakage >= _LEAKIEST:
        given, allowed = q_leakage, f"from {_LEAKIEST:g}"
        raise DspError(
            "vented box", "leaks too much to be aligned, QL", given=given, allowed=allowed
        )
    middle = _member(np.array([_B4_A1, _B4_A1**2 / 2, _B4_A1]), family="B4", q_leakage=q_leakage)
    if abs(qts / middle.qts - 1) < 1e-6:
        return middle
    family: Family = "C4" if qts > middle.qts else low_family
    ends = {
        "C4": (_FLATTEST_K, 1.0),
        "SC4": (1.0, _STEEPEST_K),
        "QB3": (_B4_A1, _WIDEST_A1),
    }[family]
    of_family = _third_order if family == "QB3" else _scaled_butterworth

    def member(place: float) -> VentedAlignment:
        return _member(of_family(math.exp(place)), family=family, q_leakage=q_leakage)

    low, high = (math.log(end) for end in ends)
    reach = sorted((member(low).qts, member(high).qts))
    if not reach[0] <= qts <= reach[1]:
        allowed = f"{reach[0]:.3g} to {reach[1]:.3g}"
        raise DspError(f"vented box, {family}", "Qts out of reach", given=qts, allowed=allowed)
    return member(brentq(lambda place: member(place).qts - qts, low, high, xtol=1e-14))


def vented_for(
    unit: BoxUnit,
    *,
    q_leakage: float = math.inf,
    low_family: LowFamily = "QB3",
    source_ohm: float = 0.0,
) -> VentedBox:
    """Find the vented box whose alignment fits a unit.

    Parameters
    ----------
    unit : BoxUnit
        Its parameters.
    q_leakage : float
        Of the box at its tuning.
    low_family : str
        What to take where Qts is below that of B4.
    source_ohm : float
        ohm in series.

    Returns
    -------
    VentedBox without its vent.
    """
    found = vented_alignment(unit.qts_with(source_ohm), q_leakage=q_leakage, low_family=low_family)
    return VentedBox(
        volume_m3=unit.vas_m3 / found.alpha,
        tuning_hz=unit.fs_hz * found.tuning_ratio,
        q_leakage=q_leakage,
        alignment=found.family,
    )


def _scaled_butterworth(k: float) -> Floats:
    # Butterworth's poles with their real parts times k: k below 1 Chebyshev, above 1 below it.
    angle = np.array([math.pi / 8, 3 * math.pi / 8])
    poles = np.concatenate([-k * np.sin(angle) + 1j * np.cos(angle)] * 2)
    poles[2:] = poles[2:].conj()
    low_pass = np.poly(poles).real
    high_pass = low_pass[::-1] / low_pass[-1]
    scale = high_pass[-1] ** 0.25
    normalised: Floats = high_pass[1:4] / scale ** np.arange(1, 4)
    return normalised


def _third_order(a1: float) -> Floats:
    # |D|2 = w8 + B2 w2 + 1: the two terms next to w8 vanish, B2 is whatever is left.
    a2 = a1**2 / 2
    return np.array([a1, a2, (a2**2 + 2) / (2 * a1)])


def _member(coefficients: Floats, *, family: Family, q_leakage: float) -> VentedAlignment:
    a1, a2, a3 = coefficients.tolist()
    leak = 1 / q_leakage
    root = _tuning_root(a1, a3, leak=leak)
    damping = a1 * root - leak * root**2  # 1 / Qts
    alpha = a2 * root**2 - leak * damping * root**2 - 1 - root**4
    # |D|2 as a polynomial in w2, w against the geometric mean of fs and fb.
    square = np.array([1.0, a1**2 - 2 * a2, a2**2 + 2 - 2 * a1 * a3, a3**2 - 2 * a2, 1.0])
    half_power = np.roots(square - np.array([2.0, 0, 0, 0, 0]))
    cutoff = max(place.real for place in half_power if abs(place.imag) < 1e-9 and place.real > 0)
    return VentedAlignment(
        family=family,
        qts=1 / damping,
        tuning_ratio=root**2,
        alpha=alpha,
        f3_ratio=root * math.sqrt(cutoff),
        ripple_db=_highest_db(square),
    )


def _tuning_root(a1: float, a3: float, *, leak: float) -> float:
    # r4 leak - a1 r3 + a3 r - leak = 0; without leaks r2 = a3 / a1, and the root is beside it.
    without = math.sqrt(a3 / a1)
    if leak == 0:
        return without
    roots = np.roots([leak, -a1, 0.0, a3, -leak])
    real = roots.real[(np.abs(roots.imag) < 1e-9) & (roots.real > 0)]
    return float(real[np.argmin(np.abs(np.log(real / without)))])


def _highest_db(square: Floats) -> float:
    # |G|2 = w8 / |D|2 as 1 / q(y), y = 1 / w2; it peaks where q is least.
    ascending = square[::-1]  # in y, from y4 down to 1
    places = np.roots(np.polyder(ascending))
    real = places.real[(np.abs(places.imag) < 1e-9) & (places.real > 0)]
    least = min([1.0, *np.polyval(ascending, real).tolist()])
    return 10 * math.log10(1 / least)
