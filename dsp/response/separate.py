"""Takes a recorded sweep apart into the responses of its orders."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Floats
from dsp.response.impulse import ImpulseResponse
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
    rest: NDArray[np.complexfloating] | None


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
    rest: NDArray[np.complexfloating] = fft.rfft(_without_offset(stretch, plan=plan), plan.size)
    arrival = 0
    found = []
    kept: NDArray[np.complexfloating] | None = None
    for number, order in enumerate(plan.orders, start=1):
        whole: NDArray[np.floating] = fft.irfft(
            rest * (np.conj(order.spectrum) * order.inverse), plan.size
        )
        if number == 1:
            arrival = _arrival(whole, plan=plan)
        window = order.window
        if window.after <= 0 or window.before <= 0:
            cut = np.zeros(0)
        else:
            index = (np.arange(-window.before, window.after) + arrival) % plan.size
            cut = whole[index] * window.shape
            if number < len(plan.orders):
                placed = np.zeros(plan.size, dtype=whole.dtype)
                placed[index] = cut
                rest -= order.spectrum * fft.rfft(placed)
                rest = rest.astype(np.complex64, copy=False)
        if number == rest_after:
            kept = rest.copy()
        found.append(
            ImpulseResponse(
                samples=cut,
                sample_rate_hz=plan.sample_rate_hz,
                zero_index=window.before - arrival,
                arrival_index=window.before,
            )
        )
    return Separated(impulses=tuple(found), rest=kept)


def _without_offset(stretch: Floats, *, plan: SweepPlan) -> Floats:
    # Even orders shift the mean while the sweep plays. Over its second half nothing that is played
    # comes near 0 Hz, so the mean there is that shift.
    start, stop = plan.segment.start - plan.begin, plan.segment.stop - plan.begin
    middle = (start + stop) // 2
    weight = np.hanning(stop - middle)
    shift = float(np.sum(weight * stretch[middle:stop]) / np.sum(weight))
    out = stretch.copy()
    out[start:stop] -= shift
    return out


def _arrival(whole: NDArray[np.floating], *, plan: SweepPlan) -> int:
    before = plan.orders[0].window.before
    latest = int(_LATEST_S * plan.sample_rate_hz)
    near = np.abs(np.concatenate([whole[-before:], whole[:latest]]))
    peak = int(np.argmax(near))
    earliest = max(peak - int(_LONGEST_RISE_S * plan.sample_rate_hz), 0)
    rising = near[earliest : peak + 1] >= _ONSET * near[peak]
    return earliest + int(np.argmax(rising)) - before
