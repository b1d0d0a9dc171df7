"""Which stretch of time belongs to which order of a deconvolved sweep."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from dsp.arrays import Floats, read_only

_LONGEST_BEFORE_S = 0.03
_LONGEST_BEFORE_HARMONIC_S = 0.02
_LONGEST_AFTER_S = 0.25
# What a unit answers higher up is over sooner; a shorter window lets less noise through.
_BRIEF_BEFORE_S, _BRIEF_AFTER_S, _BRIEF_AFTER_HARMONIC_S = 0.01, 0.06, 0.02
_GATE_BEFORE_S = 0.001
# The parts of either side over which the window opens and closes.
_OPENS, _CLOSES, _GATE_CLOSES = 0.5, 0.2, 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderWindow:
    """A window about the arrival.

    Attributes
    ----------
    before, after : int
        Samples that it reaches to either side; ``after`` may be 0 or less where the orders lie
        too close for a window at all.
    opens, closes : int
        Samples of ``before`` and ``after`` over which it opens and closes.
    """

    before: int
    after: int
    opens: int
    closes: int

    @property
    def shape(self) -> Floats:
        """Weights, (before + after,), half-sine-squared at both ends."""
        return _shape(self)


@lru_cache(maxsize=256)
def _shape(window: OrderWindow) -> Floats:
    # A take after the other asks for the same ones.
    out = np.ones(window.before + window.after)
    rise = np.sin(np.pi / 2 * (np.arange(window.opens) + 0.5) / max(window.opens, 1)) ** 2
    fall = np.sin(np.pi / 2 * (np.arange(window.closes) + 0.5) / max(window.closes, 1)) ** 2
    out[: window.opens] *= rise
    out[out.size - window.closes :] *= fall[::-1]
    return read_only(out)


def order_window(*, order: int, rate_s: float, sample_rate_hz: float) -> OrderWindow:
    """Lay the window of one order between its neighbours.

    Order n arrives rate_s ln((n + 1) / n) later than order n + 1.

    Parameters
    ----------
    order : int
        1 and up.
    rate_s : float
        s in which the sweep grows by a factor e.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    OrderWindow; windows of neighbours meet and do not overlap.
    """
    before_s, after_s = _before_s(order, rate_s), _LONGEST_AFTER_S
    if order > 1:
        room_s = rate_s * np.log(order / (order - 1)) - _before_s(order - 1, rate_s)
        after_s = min(after_s, float(room_s))
    before, after = int(before_s * sample_rate_hz), int(after_s * sample_rate_hz)
    return OrderWindow(
        before=before, after=after, opens=int(_OPENS * before), closes=int(_CLOSES * after)
    )


def _before_s(order: int, rate_s: float) -> float:
    gap_s = float(rate_s * np.log((order + 1) / order))
    if order == 1:
        return min(_LONGEST_BEFORE_S, gap_s / 2)
    return min(_LONGEST_BEFORE_HARMONIC_S, gap_s / 3)


def brief(window: OrderWindow, *, order: int, sample_rate_hz: float) -> OrderWindow:
    """Narrow a window to what a response needs at high frequencies.

    Parameters
    ----------
    window : OrderWindow
        To be narrowed.
    order : int
        Whose it is.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    OrderWindow, inside the given one.
    """
    after_s = _BRIEF_AFTER_S if order == 1 else _BRIEF_AFTER_HARMONIC_S
    before = min(window.before, int(_BRIEF_BEFORE_S * sample_rate_hz))
    after = min(window.after, int(after_s * sample_rate_hz))
    return OrderWindow(
        before=before, after=after, opens=int(_OPENS * before), closes=int(_CLOSES * after)
    )


def gated(window: OrderWindow, *, gate_s: float, sample_rate_hz: float) -> OrderWindow:
    """Narrow a window so that it ends where the first reflection comes.

    Parameters
    ----------
    window : OrderWindow
        To be narrowed.
    gate_s : float
        s after the arrival.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    OrderWindow; it closes over the second half of the gate, from 1 ms before the arrival on.
    """
    after = min(window.after, int(gate_s * sample_rate_hz))
    before = min(window.before, int(_GATE_BEFORE_S * sample_rate_hz))
    return OrderWindow(before=before, after=after, opens=before, closes=int(_GATE_CLOSES * after))
