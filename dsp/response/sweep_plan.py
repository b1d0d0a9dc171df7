"""Everything about the analysis of a sweep that depends on the excitation alone."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Complexes, Floats, read_only
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.excitation.log_sweep import highest_order_hz, sweep_order
from dsp.excitation.segment import LogSweepSegment
from dsp.response.comb import Comb, comb
from dsp.response.order_window import OrderWindow, order_window

_LEAD_S = 0.005
# Room behind the sweep for the longest response and its delay, so that nothing wraps.
_ROOM_S = 0.4
# Of the power that the sweep has at stop_hz. Within the span this is all that is added; over the
# fade it grows to 1. Below start_hz the sweep's start holds power down to 0 Hz, and taking it away
# there would ring through the window: nothing is added.
_LEAST = 1e-6
# Below its lowest frequency a harmonic is told nothing.
_BELOW_ORDER, _WHERE_ORDER_ENDS = 0.03, 0.9
_LARGEST_ORDERS = 40


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OrderPlan:
    """One order of a sweep; harmonics in single precision, which is 1e-7 of something small.

    Attributes
    ----------
    spectrum : complex array
        V, of the sweep's nth harmonic: (k,) of order 1, of the others laid out by the plan's comb.
    inverse : complex array
        1/V, as ``spectrum``: its regularised inverse.
    window : OrderWindow
        Where its response is looked for.
    """

    spectrum: Complexes | NDArray[np.complex64]
    inverse: Complexes | NDArray[np.complex64]
    window: OrderWindow


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SweepPlan:
    """What the analysis of one sweep can prepare before anything is recorded.

    Attributes
    ----------
    segment : LogSweepSegment
        The sweep.
    sample_rate_hz : float
        Hz.
    begin, end : int
        The stretch of the excitation that belongs to the sweep and its decay.
    size : int
        Length of all transforms.
    orders : tuple of OrderPlan
        From order 1 on.
    comb : Comb
        How the harmonics' spectra are laid out: as wide as their widest window.
    """

    segment: LogSweepSegment
    sample_rate_hz: float
    begin: int
    end: int
    size: int
    orders: tuple[OrderPlan, ...]
    comb: Comb

    def power_at(self, place: Floats, *, order: int) -> Floats:
        """Read the power of an order of the sweep.

        Parameters
        ----------
        place : (m,) array
            Lines of the spectrum, and between them.
        order : int
            1 and up.

        Returns
        -------
        (m,) array, V^2, linear between the lines.
        """
        spectrum = self.orders[order - 1].spectrum
        below = np.minimum(place.astype(np.int64), self.size // 2 - 1)
        low, high = (
            np.abs(spectrum[lines if order == 1 else self.comb.places(lines)]) ** 2
            for lines in (below, below + 1)
        )
        out: Floats = low + (place - below) * (high - low)
        return out


def sweep_plan(excitation: Excitation, *, segment_index: int, orders: int) -> SweepPlan:
    """Prepare the analysis of one sweep of an excitation.

    Parameters
    ----------
    excitation : Excitation
        What is played.
    segment_index : int
        Which of its segments.
    orders : int
        The fundamental and this many less one harmonics.

    Returns
    -------
    SweepPlan

    Raises
    ------
    DspError
        The segment is no sweep, or ``orders`` is not 1 to 40.
    """
    segment = excitation.segments[segment_index]
    if not isinstance(segment, LogSweepSegment):
        raise DspError("sweep_plan", "not a sweep", given=type(segment).__name__)
    if not 1 <= orders <= _LARGEST_ORDERS:
        raise DspError("sweep_plan", "orders", given=orders, allowed=f"1 to {_LARGEST_ORDERS}")
    rate_hz = excitation.sample_rate_hz
    begin, end = _stretch(excitation, segment_index)
    room = int(_ROOM_S * rate_hz)
    size = 2 * fft.next_fast_len((end - begin + room + 1) // 2, real=True)
    windows = [
        order_window(order=order, rate_s=segment.rate_s, sample_rate_hz=rate_hz)
        for order in range(1, orders + 1)
    ]
    layout = comb(
        size,
        before=max((window.before for window in windows[1:]), default=1),
        after=max((max(window.after, 1) for window in windows[1:]), default=1),
    )
    plans = []
    for order, window in enumerate(windows, start=1):
        # Order 1 is what was played, to the last bit.
        signal = (
            excitation.samples[segment.start : segment.stop]
            if order == 1
            else sweep_order(segment, order=order, sample_rate_hz=rate_hz)
        )
        placed = np.zeros(size)
        placed[segment.start - begin : segment.stop - begin] = signal
        spectrum = fft.rfft(placed)
        added = _added_power(segment, order=order, size=size, sample_rate_hz=rate_hz)
        power = np.abs(spectrum) ** 2 + added
        inverse = np.asarray(np.conj(spectrum) / power, dtype=np.complex128)
        plans.append(
            OrderPlan(spectrum=read_only(spectrum), inverse=read_only(inverse), window=window)
            if order == 1
            else OrderPlan(
                spectrum=read_only(layout.laid_out(spectrum)),
                inverse=read_only(layout.laid_out(inverse)),
                window=window,
            )
        )
    return SweepPlan(
        segment=segment,
        sample_rate_hz=rate_hz,
        begin=begin,
        end=end,
        size=size,
        orders=tuple(plans),
        comb=layout,
    )


def _stretch(excitation: Excitation, segment_index: int) -> tuple[int, int]:
    segments = excitation.segments
    lead = int(_LEAD_S * excitation.sample_rate_hz)
    begin = max(segments[segment_index].start - lead, excitation.quiet_stop)
    if segment_index > 0:
        begin = max(begin, segments[segment_index - 1].stop)
    last = segment_index + 1 == len(segments)
    end = excitation.mark_starts[1] if last else segments[segment_index + 1].start
    return min(begin, segments[segment_index].start), end


def _added_power(
    segment: LogSweepSegment, *, order: int, size: int, sample_rate_hz: float
) -> Floats:
    frequency_hz = np.arange(size // 2 + 1) * (sample_rate_hz / size)

    def power(hz: float) -> float:
        # Stationary phase: |X| = peak/2 sqrt(rate_s / f), times the sample rate.
        return float(segment.rate_s / hz) * (segment.peak_v * sample_rate_hz / 2) ** 2

    stop_hz, last_hz = order * segment.stop_hz, order * segment.last_hz
    if order > 1:
        stop_hz = min(stop_hz, highest_order_hz(sample_rate_hz))
        last_hz = min(last_hz, sample_rate_hz / 2)
    fading_hz = np.sqrt(stop_hz * last_hz)
    beyond = np.clip((frequency_hz - fading_hz) / max(last_hz - fading_hz, 1.0), 0, 1)
    added: Floats = power(stop_hz) * _LEAST ** (1 - beyond)
    if order > 1:
        lowest_hz = order * segment.first_hz
        added[frequency_hz < _WHERE_ORDER_ENDS * lowest_hz] = _BELOW_ORDER * power(lowest_hz)
    return added
