"""Takes a recorded sweep apart into the responses of its orders."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Floats, Ints, read_only
from dsp.response.impulse import ImpulseResponse
from dsp.response.order_window import OrderWindow
from dsp.response.sweep_plan import SweepPlan

# How far from time zero the arrival is looked for: 34 m of air, or half way to order 2 before.
_LATEST_S = 0.1
# The response has set in where it first reaches this part of its peak.
_ONSET = 0.2
_LONGEST_RISE_S = 0.005


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Separated:
    """A sweep taken apart.

    Attributes
    ----------
    impulses : tuple of ImpulseResponse
        From order 1 on, per volt of the drive's peak; all have time zero where the drive does and
        the arrival of the fundamental. An order too close to its neighbours for a window has no
        samples.
    rest : (k,) complex array or None
        Spectrum, over the transforms' length, of what the lower orders that were asked for leave;
        in single precision from order 1 on.
    """

    impulses: tuple[ImpulseResponse, ...]
    rest: NDArray[np.complex64] | None


def separate(stretch: Floats, *, plan: SweepPlan, rest_after: int | None = None) -> Separated:
    """Find the impulse response of each order, strongest first.

    The fundamental is deconvolved by what was played, windowed, played again through what was
    found and subtracted; what is left is deconvolved by the sweep's second harmonic, and so on.
    So each order is read from what the lower ones leave, and each is deconvolved by its own
    signal, which knows when it started and where it ended. What the fundamental leaves is carried
    in single precision: that is 1e-7 of something small, and takes half the time.

    Parameters
    ----------
    stretch : (n,) array
        The channel from ``plan.begin`` to ``plan.end``, any unit, on the excitation's clock.
    plan : SweepPlan
        What was played.
    rest_after : int or None
        Order after which what is left is kept, below the last of ``plan``; None: not kept.

    Returns
    -------
    Separated
    """
    rest = fft.rfft(_without_offset(stretch, plan=plan), plan.size)
    first = plan.orders[0]
    whole: Floats = fft.irfft(rest * first.inverse, plan.size)
    arrival = _arrival(whole, plan=plan)
    index = (_about_zero(first.window) + arrival) % plan.size
    cut = whole[index] * first.window.shape
    found = [_impulse(cut, window=first.window, arrival=arrival, plan=plan)]
    if len(plan.orders) == 1:
        return Separated(impulses=tuple(found), rest=None)
    placed = np.zeros(plan.size)
    placed[index] = cut
    rest -= first.spectrum * fft.rfft(placed)
    # From here on about the arrival.
    left = plan.comb.earlier(plan.comb.laid_out(rest), samples=arrival)
    kept = left if rest_after == 1 else None
    for number, order in enumerate(plan.orders[1:], start=2):
        window = order.window
        cut = np.zeros(0, dtype=np.float32)
        if window.after > 0 and window.before > 0:
            near = plan.comb.stretch((left * order.inverse).astype(np.complex64, copy=False))
            index = _about_zero(window)
            cut = np.multiply(near[index], window.shape, dtype=near.dtype)
            if number < len(plan.orders):
                alone = np.zeros_like(near)
                alone[index] = cut
                taken = order.spectrum * plan.comb.spectrum(alone)
                left = left - taken.astype(np.complex64, copy=False)
        if number == rest_after:
            kept = left
        found.append(_impulse(cut, window=window, arrival=arrival, plan=plan))
    if kept is not None:
        kept = plan.comb.in_line(plan.comb.earlier(kept, samples=-arrival))
    return Separated(impulses=tuple(found), rest=kept)


def _about_zero(window: OrderWindow) -> Ints:
    return np.arange(-window.before, window.after)


def _impulse(
    cut: NDArray[np.floating], *, window: OrderWindow, arrival: int, plan: SweepPlan
) -> ImpulseResponse:
    return ImpulseResponse(
        samples=cut,
        sample_rate_hz=plan.sample_rate_hz,
        zero_index=window.before - arrival,
        arrival_index=window.before,
    )


def _without_offset(stretch: Floats, *, plan: SweepPlan) -> Floats:
    # Even orders shift the mean while the sweep plays. Over its second half nothing that is played
    # comes near 0 Hz, so the mean there is that shift.
    start, stop = plan.segment.start - plan.begin, plan.segment.stop - plan.begin
    middle = (start + stop) // 2
    weight = _hann(stop - middle)
    shift = float(weight @ stretch[middle:stop] / np.sum(weight))
    out = stretch.copy()
    out[start:stop] -= shift
    return out


@lru_cache(maxsize=16)
def _hann(size: int) -> Floats:
    # A take after the other asks for the same one.
    return read_only(np.hanning(size))


def _arrival(whole: Floats, *, plan: SweepPlan) -> int:
    before = plan.orders[0].window.before
    latest = int(_LATEST_S * plan.sample_rate_hz)
    near = np.abs(np.concatenate([whole[-before:], whole[:latest]]))
    peak = int(np.argmax(near))
    earliest = max(peak - int(_LONGEST_RISE_S * plan.sample_rate_hz), 0)
    rising = near[earliest : peak + 1] >= _ONSET * near[peak]
    return earliest + int(np.argmax(rising)) - before
