"""The residual of a sweep: what is a defect shows where it was put in, noise stays a bound."""

from typing import Any

import numpy as np
import pytest
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from dsp.defects.sweep_defects import SweepDefects
from dsp.defects.sweep_impulses import swept_hz
from dsp.defects.sweep_residual import LOWER_ORDERS, SweepRest, sweep_residual
from dsp.excitation.assemble import assemble
from dsp.excitation.log_sweep import log_sweep
from dsp.excitation.segment import LogSweepSegment
from dsp.grid import log_grid
from dsp.response.quiet_noise import quiet_noise
from dsp.response.sweep_answer import sweep_answer
from dsp.response.sweep_plan import sweep_plan

RATE = 48_000.0
PLAYED = assemble(
    [log_sweep(sample_rate_hz=RATE, start_hz=20, stop_hz=20_000, duration_s=1.0, peak_v=1.0)],
    sample_rate_hz=RATE,
)
PLAN = sweep_plan(PLAYED, segment_index=0, orders=12)


def residual(heard: NDArray[np.floating[Any]], *, rms: float) -> SweepDefects:
    rng = np.random.default_rng(4)
    channel = heard + rms * rng.standard_normal(heard.size)
    quiet = quiet_noise(channel, excitation=PLAYED)
    answer = sweep_answer(
        channel,
        excitation=PLAYED,
        segment_index=0,
        orders=12,
        frequency_hz=log_grid(low_hz=20, high_hz=20_000, per_octave=24),
        noise=quiet,
        plan=PLAN,
        rest_after=LOWER_ORDERS,
    )
    assert answer.rest is not None
    read = sweep_residual(
        SweepRest(spectrum=answer.rest, pressure=answer.harmonics, plan=PLAN),
        noise=quiet,
        disturbed=(),
    )
    assert read is not None
    return read.defects


def segment() -> LogSweepSegment:
    (found,) = PLAYED.segments
    assert isinstance(found, LogSweepSegment)
    return found


def test_low_orders_and_noise_leave_bounds_only() -> None:
    bent = chebyshev.chebval(PLAYED.samples, [0, 1, 0.03, 0.03, 0.01])
    found = residual(bent, rms=1e-3)
    assert found.is_bound.mean() > 0.9
    assert np.nanmax(found.level_db) < -50
    assert found.impulses.short_count == 0


def test_a_high_order_shows_with_its_level_from_where_it_enters_the_band() -> None:
    weights = np.zeros(16)
    weights[1], weights[15] = 1.0, 0.01  # -40 dB: 0.8 to 15 kHz is 53 Hz to 1 kHz of the drive
    found = residual(chebyshev.chebval(PLAYED.samples, weights), rms=1e-5)
    inside = (found.frequency_hz > 70) & (found.frequency_hz < 800)
    np.testing.assert_allclose(found.level_db[inside], -40.0, atol=0.7)
    assert not found.is_bound[inside].any()


def test_a_click_is_counted_at_the_frequency_that_was_played() -> None:
    heard = PLAYED.samples.copy()
    at = segment().start + round(0.4 * RATE)
    time = np.arange(200) / RATE
    heard[at : at + 200] += 0.05 * np.exp(-time / 0.2e-3) * np.sin(2 * np.pi * 5000 * time)
    found = residual(heard, rms=1e-3)
    assert found.impulses.short_count == 1
    hz = swept_hz(segment(), time_s=np.array([0.4]))[0]
    assert found.impulses.drive_hz[0] == pytest.approx(hz, rel=0.02)


def test_a_knock_in_every_period_is_no_particle() -> None:
    heard = PLAYED.samples.copy()
    count = np.arange(segment().stop - segment().start) / RATE
    turns = segment().first_hz * segment().rate_s * np.expm1(count / segment().rate_s)
    knocks = np.flatnonzero(np.diff(np.floor(turns - 0.3)) > 0)
    time = np.arange(100) / RATE
    for at in segment().start + knocks[turns[knocks] < 60]:
        heard[at : at + 100] += 0.05 * np.exp(-time / 0.2e-3) * np.sin(2 * np.pi * 5000 * time)
    assert residual(heard, rms=1e-3).impulses.short_count <= 1
