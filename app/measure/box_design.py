"""What a unit does in the box that a person wishes for, or in the one that suits it."""

import math
from dataclasses import dataclass, replace
from typing import Literal

from app.measure.boxed import Boxed, Typed
from app.measure.boxed_fit import boxed_of
from dsp.acoustic.air import Air
from dsp.box.closed_alignment import closed_for_qtc
from dsp.box.drive import Drive, volts_for
from dsp.box.enclosure import Box, ClosedBox, VentedBox
from dsp.box.loudest import Loudest, loudest
from dsp.box.predict import Prediction, predict
from dsp.box.unit import BoxUnit
from dsp.box.vent import Vent, cut_for
from dsp.box.vented_alignment import vented_for
from dsp.errors import DspError
from dsp.grid import log_grid
from dsp.parameters.estimates import Estimates
from dsp.parameters.fit import LumpedFit

BoxKind = Literal["closed", "vented"]
FLATTEST = 1 / math.sqrt(2)  # Qtc
_ABOVE_OWN = 1.15  # times Qts, where the unit's own is above that
_LOW_HZ, _HIGH_HZ, _PER_OCTAVE = 10.0, 20_000.0, 24


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxWish:
    """A box and how hard it is driven.

    Attributes
    ----------
    kind : str
        ``closed`` or ``vented``.
    volume_m3, tuning_hz : float or None
        m3, Hz; None: what suits the unit.
    vent_area_m2 : float or None
        m2, of one round vent; None: how fast its air goes is not told.
    q_leakage, q_absorption : float
        Losses of the box; infinite: none.
    watts, watts_ohm : float
        W, and what they are counted in.
    xmax_m, rated_power_w : float or None
        What the unit can take.
    """

    kind: BoxKind = "closed"
    volume_m3: float | None = None
    tuning_hz: float | None = None
    vent_area_m2: float | None = None
    q_leakage: float = math.inf
    q_absorption: float = math.inf
    watts: float = 1.0
    watts_ohm: float = 8.0
    xmax_m: float | None = None
    rated_power_w: float | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BoxDesign:
    """A predicted box.

    Attributes
    ----------
    wish : BoxWish
        As asked.
    prediction : Prediction
        Level for 2.83 V; excursion and air speed for the watts.
    loudest : Loudest or None
        The most it gives, where it is known what the unit can take.
    warnings : tuple of str
        One sentence each.
    """

    wish: BoxWish
    prediction: Prediction
    loudest: Loudest | None
    warnings: tuple[str, ...]

    @property
    def louder_db(self) -> float:
        """How much the watts are above the voltage that the level is for, dB."""
        loud_v = volts_for(self.wish.watts, ohm=self.wish.watts_ohm)
        return 20 * math.log10(loud_v / Drive().volts)


def design_box(figures: Estimates, *, fit: LumpedFit, air: Air, wish: BoxWish) -> BoxDesign:
    """Predict a unit in a box.

    Raises
    ------
    BadInputError
        Masses and forces of the unit are not known.
    DspError
        Nothing suits this unit, so a volume must be given; or the box cannot be.
    """
    typed = Typed(xmax_m=wish.xmax_m, rated_power_w=wish.rated_power_w)
    boxed = boxed_of(figures, fit=fit, air=air, typed=typed)
    box, warnings = _box(boxed.unit, wish=wish, air=air)
    drive = Drive()
    prediction = predict(
        boxed.unit,
        box=box,
        air=air,
        drive=drive,
        frequency_hz=log_grid(low_hz=_LOW_HZ, high_hz=_HIGH_HZ, per_octave=_PER_OCTAVE),
        known=boxed.known,
        loud_v=volts_for(wish.watts, ohm=wish.watts_ohm),
    )
    return BoxDesign(
        wish=wish,
        prediction=prediction,
        loudest=_loudest(boxed, prediction=prediction, air=air, wish=wish),
        warnings=(*warnings, *boxed.warnings),
    )


def _box(unit: BoxUnit, *, wish: BoxWish, air: Air) -> tuple[Box, tuple[str, ...]]:
    if wish.kind == "closed":
        losses = ClosedBox(
            volume_m3=wish.volume_m3 or unit.vas_m3,
            q_leakage=wish.q_leakage,
            q_absorption=wish.q_absorption,
        )
        if wish.volume_m3 is not None:
            return losses, ()
        qtc = max(FLATTEST, _ABOVE_OWN * unit.qts)
        return closed_for_qtc(unit, qtc=qtc, losses=losses), ()
    volume, tuning = wish.volume_m3, wish.tuning_hz
    if volume is None or tuning is None:
        suits = vented_for(unit, q_leakage=wish.q_leakage)
        volume, tuning = volume or suits.volume_m3, tuning or suits.tuning_hz
    box = VentedBox(
        volume_m3=volume,
        tuning_hz=tuning,
        q_leakage=wish.q_leakage,
        q_absorption=wish.q_absorption,
    )
    return _with_vent(box, area_m2=wish.vent_area_m2, air=air)


def _with_vent(
    box: VentedBox, *, area_m2: float | None, air: Air
) -> tuple[VentedBox, tuple[str, ...]]:
    if area_m2 is None:
        return box, ()
    try:
        vent = cut_for(
            Vent(area_m2=area_m2), volume_m3=box.volume_m3, tuning_hz=box.tuning_hz, air=air
        )
    except DspError as error:
        return box, (f"{error.what}: allowed {error.allowed}",)
    return replace(box, vent=vent), ()


def _loudest(boxed: Boxed, *, prediction: Prediction, air: Air, wish: BoxWish) -> Loudest | None:
    if wish.xmax_m is None and wish.rated_power_w is None:
        return None
    return loudest(
        boxed.unit,
        box=prediction.box,
        air=air,
        drive=Drive(),
        frequency_hz=prediction.curves["level"].frequency_hz,
        watts_ohm=wish.watts_ohm,
    )
