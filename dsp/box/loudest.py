"""The most that a boxed unit gives at every frequency, and what stops it there."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.acoustic.air import Air
from dsp.acoustic.level import REFERENCE_PA, UNIT
from dsp.arrays import Floats, read_only
from dsp.box.drive import Drive, volts_for
from dsp.box.enclosure import Box, VentedBox
from dsp.box.figures import Figures, figures
from dsp.box.limits import fast_m_per_s, predicted_range
from dsp.box.unit import BoxUnit
from dsp.curve import Curve
from dsp.errors import DspError

EXCURSION, POWER, VENT = "excursion", "rated power", "vent air speed"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Loudest:
    """The largest sine that nothing forbids.

    Attributes
    ----------
    level : Curve
        dB re 20 µPa.
    volts, watts : (m,) arrays
        V rms of the source; W into the resistance that watts are counted in.
    limited_by : tuple of str, m
        ``excursion``, ``rated power`` or ``vent air speed``.
    """

    level: Curve
    volts: Floats
    watts: Floats
    limited_by: tuple[str, ...]

    def __post_init__(self) -> None:
        for name in ("volts", "watts"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def loudest(
    unit: BoxUnit, *, box: Box, air: Air, drive: Drive, frequency_hz: Floats, watts_ohm: float
) -> Loudest:
    """Raise a sine at every frequency until excursion, power or the vent's air stops it.

    Parameters
    ----------
    unit : BoxUnit
        With ``xmax_m``, ``rated_power_w`` or both.
    box, air : ClosedBox or VentedBox, Air
        What it is in. A vent, where it is known, is held to 5 % of the speed of sound, peak.
    drive : Drive
        Distance and source resistance; its voltage is not looked at.
    frequency_hz : (m,) array
        Hz, strictly rising.
    watts_ohm : float
        ohm that watts are counted in.

    Returns
    -------
    Loudest, of the small-signal model: near ``xmax_m`` a real unit gives less.

    Raises
    ------
    DspError
        Neither the excursion nor the power that the unit takes is given.
    """
    found = figures(
        unit, box=box, air=air, drive=replace(drive, volts=1.0), frequency_hz=frequency_hz
    )
    ceilings = _ceilings(found, unit=unit, box=box, air=air, watts_ohm=watts_ohm)
    if EXCURSION not in ceilings and POWER not in ceilings:
        raise DspError("loudest", "neither xmax_m nor rated_power_w is given")
    names, volts = tuple(ceilings), np.array(list(ceilings.values()))
    lowest = np.argmin(volts, axis=0)
    most = volts[lowest, np.arange(frequency_hz.size)]
    return Loudest(
        level=Curve(
            frequency_hz=frequency_hz,
            value=20 * np.log10(most * np.abs(found.pressure) / REFERENCE_PA),
            unit=UNIT,
            valid=predicted_range(unit, box=box, air=air),
            how=f"largest sine within {', '.join(names)}; {drive.distance_m:g} m, half space",
        ),
        volts=most,
        watts=most**2 / watts_ohm,
        limited_by=tuple(names[index] for index in lowest),
    )


def _ceilings(
    found: Figures, *, unit: BoxUnit, box: Box, air: Air, watts_ohm: float
) -> dict[str, Floats]:
    # V rms that each of them allows, (m,).
    ceilings: dict[str, Floats] = {}
    if unit.xmax_m is not None:
        with np.errstate(divide="ignore"):  # a diaphragm that stands still may have any voltage
            ceilings[EXCURSION] = unit.xmax_m / (math.sqrt(2) * np.abs(found.displacement))
    if unit.rated_power_w is not None:
        volts = volts_for(unit.rated_power_w, ohm=watts_ohm)
        ceilings[POWER] = np.full(found.displacement.size, volts)
    if isinstance(box, VentedBox) and box.vent is not None and found.vent_flow is not None:
        per_volt = math.sqrt(2) * np.abs(found.vent_flow) / box.vent.total_m2
        ceilings[VENT] = fast_m_per_s(air) / per_volt
    return ceilings
