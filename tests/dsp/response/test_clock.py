import numpy as np
import pytest

from dsp import Floats
from dsp.response.align import find_start
from dsp.response.clock import ClockOffset, clock_offset
from dsp.response.retime import retime
from tests.dsp.response.played import (
    CurrentThrough,
    Resonant,
    Response,
    answer,
    one_sweep,
    recorded,
    wire,
    with_noise,
)

SWEEP = one_sweep()
# 0.02 deg at 20 kHz is 2.8 ns; over the 1.24 s between the marks 0.0022 ppm.
BAR_PPM = 0.0022


def clock_of(channel: Floats) -> ClockOffset:
    return clock_offset(find_start(channel, excitation=SWEEP).marks, excitation=SWEEP)


def measured(response: Response, *, ppm: float, snr_db: float) -> ClockOffset:
    channel = recorded(SWEEP, response, before_s=0.1, offset_ppm=ppm)
    channel = with_noise(channel, SWEEP, snr_db=snr_db, seed=1)
    return clock_of(channel)


@pytest.mark.parametrize(
    ("ppm", "response"),
    [
        (0.0, wire),
        (0.0, CurrentThrough()),
        (5.0, Resonant(q=4.0)),
        (50.0, CurrentThrough()),
        (300.0, Resonant()),
        (-1000.0, Resonant(q=4.0)),
    ],
)
def test_the_offset_is_found_far_below_what_a_phase_at_20_khz_needs(
    ppm: float, response: Response
) -> None:
    assert measured(response, ppm=ppm, snr_db=80).ppm == pytest.approx(ppm, abs=BAR_PPM)


def test_its_uncertainty_is_what_repeats_scatter_by() -> None:
    clean = recorded(SWEEP, Resonant(), before_s=0.1, offset_ppm=20.0)
    noisy = [with_noise(clean, SWEEP, snr_db=40, seed=seed) for seed in range(20)]
    got = [clock_of(one) for one in noisy]
    scatter = np.sqrt(np.mean([(one.ppm - 20.0) ** 2 for one in got]))
    told = np.mean([one.standard_uncertainty_ppm for one in got])
    # 20 runs know a deviation to 16 %; two of those, and as much for the estimate itself.
    assert 0.6 < scatter / told < 1.6


@pytest.mark.parametrize("ppm", [5.0, -300.0])
def test_undone_it_leaves_the_channel_that_one_clock_would_have_given(ppm: float) -> None:
    channel = recorded(SWEEP, Resonant(), before_s=0.1, offset_ppm=ppm)
    start = 4800 * (1 + 1e-6 * ppm)
    found = clock_of(channel)
    got = retime(channel, start_sample=start, clock_offset_ppm=found.ppm, length=SWEEP.samples.size)
    error = got - answer(SWEEP, Resonant())
    assert np.max(np.abs(error)) < 3e-4
