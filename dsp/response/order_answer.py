"""Reads one order's response at the frequencies asked for, and predicts the noise in it."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.response.impulse import ImpulseResponse, response_at
from dsp.response.order_window import OrderWindow, brief, gated
from dsp.response.quiet_noise import QuietNoise
from dsp.response.sweep_plan import SweepPlan

# Below the first the wide window counts alone, above the second the brief one.
_WIDE_TO_HZ, _BRIEF_FROM_HZ = 700.0, 1400.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OrderAnswer:
    """One order.

    Attributes
    ----------
    response : (m,) complex array
        Channel's unit per volt.
    deviation : (m,) array
        Standard deviation of its real (equally of its imaginary) part from noise, same unit.
    """

    response: Complexes
    deviation: Floats


def order_answer(
    impulse: ImpulseResponse,
    *,
    plan: SweepPlan,
    order: int,
    output_hz: Floats,
    noise: QuietNoise,
    gate_s: float | None,
) -> OrderAnswer:
    """Evaluate one order.

    Parameters
    ----------
    impulse : ImpulseResponse
        Of this order, as wide as ``plan`` says.
    plan : SweepPlan
        What was played.
    order : int
        1 and up.
    output_hz : (m,) array
        Hz at which the order sounds: ``order`` times the drive's frequency.
    noise : QuietNoise
        Of the channel.
    gate_s : float or None
        s after the arrival; None: no gate.

    Returns
    -------
    OrderAnswer
    """
    wide = plan.orders[order - 1].window
    rate_hz = plan.sample_rate_hz
    short = brief(wide, order=order, sample_rate_hz=rate_hz)
    if gate_s is not None:
        wide = gated(wide, gate_s=gate_s, sample_rate_hz=rate_hz)
        short = wide
        impulse = _cut(impulse, wide)
    share = np.log(output_hz / _WIDE_TO_HZ) / np.log(_BRIEF_FROM_HZ / _WIDE_TO_HZ)
    share = np.clip(share, 0, 1) if short.after < wide.after else np.zeros(output_hz.size)
    low, high = share < 1, share > 0
    response = np.zeros(output_hz.size, dtype=np.complex128)
    response[low] = (1 - share[low]) * response_at(impulse, frequency_hz=output_hz[low])
    if np.any(high):
        cut = _cut(impulse, short)
        response[high] += share[high] * response_at(cut, frequency_hz=output_hz[high])
    energy = _energy_seen(
        wide,
        short if np.any(high) else None,
        share=share,
        moment=_moment(impulse, plan=plan, order=order, output_hz=output_hz),
        count=plan.end - plan.begin,
    )
    power = plan.power_at(output_hz * (plan.size / rate_hz), order=order)
    variance = noise.density_at(output_hz) * (rate_hz / 2) * energy / power
    return OrderAnswer(response=response, deviation=np.sqrt(variance / 2))


def _cut(impulse: ImpulseResponse, window: OrderWindow) -> ImpulseResponse:
    first = impulse.arrival_index - window.before
    return ImpulseResponse(
        samples=impulse.samples[first : first + window.before + window.after] * window.shape,
        sample_rate_hz=impulse.sample_rate_hz,
        zero_index=impulse.zero_index - first,
        arrival_index=window.before,
    )


def _padded(window: OrderWindow, *, within: OrderWindow) -> Floats:
    return np.pad(window.shape, (within.before - window.before, within.after - window.after))


def _moment(impulse: ImpulseResponse, *, plan: SweepPlan, order: int, output_hz: Floats) -> Floats:
    # Where in the stretch the noise was recorded that the window's first sample sees: as long
    # before the sweep passed there as the window reaches before time zero.
    passed_s = plan.segment.rate_s * np.log(output_hz / (order * plan.segment.first_hz))
    start = plan.segment.start - plan.begin
    out: Floats = start + passed_s * plan.sample_rate_hz - impulse.zero_index
    return out


def _energy_seen(
    wide: OrderWindow, short: OrderWindow | None, *, share: Floats, moment: Floats, count: int
) -> Floats:
    # What the window would see beyond the recording's ends holds no noise.
    shape = wide.shape
    last = np.clip(count - moment, 0, shape.size).astype(np.int64)
    first = np.clip(-moment, 0, shape.size).astype(np.int64)

    def between(weight: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(weight)])
        out: Floats = total[last] - total[first]
        return out

    if short is None:
        return between(shape**2)
    narrow = _padded(short, within=wide)
    energy: Floats = (1 - share) ** 2 * between(shape**2)
    energy += 2 * share * (1 - share) * between(shape * narrow) + share**2 * between(narrow**2)
    return energy
