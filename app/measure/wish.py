"""What a person wishes limits to follow from."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.procedure.edit_masks import EditRefusedError

Way = Literal["sigma", "tolerance", "percentile", "unit_rate", "take"]
FEWEST: Mapping[Way, int] = {
    "sigma": 2,
    "tolerance": 2,
    "percentile": 2,
    "unit_rate": 4,
    "take": 1,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What limits should follow from.

    Attributes
    ----------
    way : "sigma", "tolerance", "percentile", "unit_rate" or "take"
        Middle ± k deviations of the units; an interval that holds a share of all units to come if
        they are normal; one that does whatever they are, at ordered units; middle ± as many
        deviations as stop a wanted share of good units anywhere on the curve; or one unit's take
        and a distance on either side.
    k : float
        For sigma.
    coverage, confidence : float
        For tolerance and percentile, 0 to 1.
    rate : float
        For unit_rate: share of good units that may be stopped by this mask, 0 to 1.
    robust : bool
        For units among which some may be bad. Sigma: median and scaled median distance in place of
        mean and standard deviation; unit_rate: units too far from the median are set aside.
    floor : float
        For all but take: what a deviation is at least, in the quantity's unit: the gauge's, below
        which units cannot be told apart. From 0.
    floating : bool or None
        Whether the level is taken out before shape is judged; None: as the mask has it.
    align_band_hz : (low, high) or None
        Hz, for a mask that begins to float: where the level is taken; None: 300 Hz to 3 kHz.
    unit : int
        For take: its place in the trial.
    above, below : float
        For take, from 0, in the quantity's unit.
    series : int
        Renard series of the break points.
    span_hz : (low, high)
        Hz, where the mask shall run.
    step : float
        Limits are rounded to it, outward.
    """

    way: Way
    k: float = 4.0
    coverage: float = 0.99
    confidence: float = 0.95
    rate: float = 0.001
    robust: bool = False
    floor: float = 0.0
    floating: bool | None = None
    align_band_hz: tuple[float, float] | None = None
    unit: int = 0
    above: float = 3.0
    below: float = 3.0
    series: int = 10
    span_hz: tuple[float, float] = (20.0, 20_000.0)
    step: float = 0.1


def check(wish: Wish) -> None:
    """Refuse figures outside what they may be.

    Raises
    ------
    EditRefusedError
        Names the first one.
    """
    for key, value, allowed, fits in (
        ("k", wish.k, "above 0 to 20", 0 < wish.k <= 20),
        ("share", 100 * wish.coverage, "50 to 99.99 %", 0.5 <= wish.coverage <= 0.9999),
        ("confidence", 100 * wish.confidence, "50 to 99.9 %", 0.5 <= wish.confidence <= 0.999),
        ("rate", 100 * wish.rate, "0.001 to 50 %", 1e-5 <= wish.rate <= 0.5),
        ("floor", wish.floor, "from 0", 0 <= wish.floor < np.inf),
        ("above", wish.above, "from 0", wish.above >= 0),
        ("below", wish.below, "from 0", wish.below >= 0),
    ):
        if not fits:
            raise EditRefusedError(key, "outside", given=f"{value:g}", allowed=allowed)
