import numpy as np
from numpy.typing import NDArray

from dsp.response.separate import separate
from dsp.response.sweep_plan import sweep_plan
from tests.dsp.response.played import Resonant, answer, distorted, one_sweep

SWEEP = one_sweep(duration_s=0.5, peak_v=1.0)
PLAN = sweep_plan(SWEEP, segment_index=0, orders=5)


def rms(values: NDArray[np.floating]) -> float:
    return float(np.sqrt(np.mean(values**2)))


def test_a_linear_unit_has_no_harmonics() -> None:
    channel = answer(SWEEP, Resonant())
    first, *harmonics = separate(channel[PLAN.begin : PLAN.end], plan=PLAN).impulses
    for one in harmonics:
        assert np.max(np.abs(one.samples)) < 1e-4 * np.max(np.abs(first.samples))


def test_all_orders_arrive_with_the_fundamental() -> None:
    channel = distorted(SWEEP, second=0.1, third=0.1, response=Resonant())
    orders = separate(channel[PLAN.begin : PLAN.end], plan=PLAN).impulses
    for one in orders[:3]:
        peak = int(np.argmax(np.abs(one.samples))) - one.zero_index
        assert abs(peak - 0.00301 * 48_000) < 4
    assert rms(orders[3].samples) < 0.02 * rms(orders[1].samples)
