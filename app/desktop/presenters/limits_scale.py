"""On which scale a quantity's limits are drawn: ratios in per cent on one of decibels."""

from dataclasses import dataclass

import numpy as np

from app.desktop.presenters.limits_figures import step_of, unit_of
from app.procedure.mask_schema import Mask
from dsp import Floats
from dsp.conformity.drawn_limits import drawn_limits
from dsp.conformity.mask import MaskLines
from dsp.distortion.in_decibels import percent_in_decibels

_LEAST_SHARE = 0.3  # of the least limit, that a plot of ratios reaches down to


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """From figures as in files to figures as drawn, and back; see ``scale_of``."""

    is_per_cent: bool

    def drawn(self, values: Floats) -> Floats:
        """Return where figures stand on the plot's axis, any shape."""
        return percent_in_decibels(values) if self.is_per_cent else values

    def figure(self, drawn: float) -> float:
        """Return the figure that stands at a place of the plot's axis."""
        return float(100 * 10 ** (drawn / 20)) if self.is_per_cent else drawn

    def step(self, quantity: str, *, near: float) -> float:
        """Return what limits are rounded to: of ratios two digits, so that all are as fine."""
        if not self.is_per_cent or near <= 0:
            return step_of(quantity)
        return float(10.0 ** (np.floor(np.log10(near)) - 1))

    def course(self, mask: Mask) -> dict[str, tuple[Floats, Floats]]:
        """Return what each limit runs through where it bends on the plot's axis, by side."""
        if not self.is_per_cent:
            return {}
        lines = MaskLines(upper=mask.upper, lower=mask.lower)
        return {
            one.side: (one.frequency_hz, self.drawn(one.value))
            for one in drawn_limits(lines, fine=True)
            if one.frequency_hz.size
        }

    def range(self, low: float, high: float, *, least: float) -> tuple[float, float]:
        """Return the ends of the plot's axis; ``least`` is the least limit above nothing."""
        if not self.is_per_cent:
            return low, high
        floor = _LEAST_SHARE * least if least > 0 else high / 1000
        ends = self.drawn(np.array([max(low, floor) if low > 0 else floor, high]))
        return float(ends[0]), float(ends[1])


def scale_of(mask: Mask) -> Scale:
    """Return the scale of a mask: decibels for ratios that it does not take differences of."""
    return Scale(is_per_cent=unit_of(mask.quantity) == "%" and mask.relative_to is None)
