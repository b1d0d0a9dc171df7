"""Closed box: the volume for a total quality factor, and the quality factor of a volume."""

import math
from dataclasses import dataclass, replace

from scipy.optimize import brentq

from dsp.box.enclosure import ClosedBox
from dsp.box.unit import BoxUnit
from dsp.errors import DspError

_SMALLEST, _LARGEST = 1e-4, 1e4  # of Vas


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedSystem:
    """A unit in a closed box, as a high-pass of second order.

    Attributes
    ----------
    fc_hz, qtc : float
        Hz; total quality factor, box losses and source resistance included.
    alpha : float
        Vas over the box's volume.
    """

    fc_hz: float
    qtc: float
    alpha: float


def closed_system(unit: BoxUnit, *, box: ClosedBox, source_ohm: float = 0.0) -> ClosedSystem:
    """Find resonance and total quality factor of a unit in a closed box.

    Parameters
    ----------
    unit, box : BoxUnit, ClosedBox
        The box's losses count to first order.
    source_ohm : float
        ohm in series.

    Returns
    -------
    ClosedSystem (R. H. Small, J. Audio Eng. Soc. 20 (1972) 798).
    """
    alpha = unit.vas_m3 / box.volume_m3
    stiffer = math.sqrt(1 + alpha)
    # The box holds alpha / (1 + alpha) of the stiffness; its losses count by as much.
    lost = alpha / (1 + alpha) * (1 / box.q_leakage + 1 / box.q_absorption)
    damping = 1 / (unit.qts_with(source_ohm) * stiffer) + lost
    return ClosedSystem(fc_hz=unit.fs_hz * stiffer, qtc=1 / damping, alpha=alpha)


def closed_for_qtc(
    unit: BoxUnit, *, qtc: float, losses: ClosedBox | None = None, source_ohm: float = 0.0
) -> ClosedBox:
    """Find the closed box that gives a total quality factor.

    Parameters
    ----------
    unit : BoxUnit
        Its parameters.
    qtc : float
        0.7071: flattest. Higher: smaller box, a peak; lower: larger box, better transients.
    losses : ClosedBox or None
        Gives the quality factors of the box's losses; its volume is not looked at. None: none.
    source_ohm : float
        ohm in series.

    Returns
    -------
    ClosedBox

    Raises
    ------
    DspError
        The unit alone has a higher quality factor, or no volume reaches the one asked for.
    """
    like = losses or ClosedBox(volume_m3=unit.vas_m3)

    def of_share(place: float) -> ClosedBox:
        return replace(like, volume_m3=unit.vas_m3 * math.exp(place))

    def missed(place: float) -> float:
        return closed_system(unit, box=of_share(place), source_ohm=source_ohm).qtc - qtc

    largest, smallest = math.log(_LARGEST), math.log(_SMALLEST)
    if not missed(largest) < 0:
        alone = unit.qts_with(source_ohm)
        raise DspError(
            "closed box", "Qtc below the unit's", given=qtc, allowed=f"above {alone:.3g}"
        )
    if not missed(smallest) > 0:
        highest = missed(smallest) + qtc
        raise DspError(
            "closed box", "Qtc that its losses forbid", given=qtc, allowed=f"below {highest:.3g}"
        )
    return of_share(brentq(missed, smallest, largest, xtol=1e-14))
