import numpy as np
import pytest

from dsp.response.order_window import gated, order_window

RATE = 48_000.0


@pytest.mark.parametrize("rate_s", [0.05, 0.13, 0.7])
def test_windows_of_neighbours_meet_and_do_not_overlap(rate_s: float) -> None:
    windows = [order_window(order=n, rate_s=rate_s, sample_rate_hz=RATE) for n in range(1, 12)]
    # REFERENCE 1.7: order n leads by rate_s ln n.
    arrival = [-rate_s * np.log(n) * RATE for n in range(1, 12)]
    for n in range(10):
        later, earlier = windows[n], windows[n + 1]
        assert arrival[n + 1] + earlier.after <= arrival[n] - later.before + 2


def test_a_gate_closes_over_its_second_half_and_lets_nothing_through_behind() -> None:
    window = order_window(order=1, rate_s=0.13, sample_rate_hz=RATE)
    cut = gated(window, gate_s=0.005, sample_rate_hz=RATE)
    assert cut.after == 240
    np.testing.assert_array_equal(cut.shape[cut.before : cut.before + 120], 1.0)
    assert cut.shape[-1] < 1e-3
