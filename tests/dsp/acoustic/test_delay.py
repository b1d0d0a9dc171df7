import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import Floats, ValidRange
from dsp.acoustic.delay import excess_delay, level_phase
from tests.dsp.analytic_unit import (
    AnalyticUnit,
    Mode,
    log_frequencies,
    phasors,
    stepped_frequencies,
)

WHOLE = ValidRange(low_hz=20.0, high_hz=20_000.0)
SAMPLE_S = 1 / 48_000
UNITS = {
    "rigid": AnalyticUnit(),
    "cone modes": AnalyticUnit(
        modes=tuple(
            Mode(hz=hz, q=q, share=0.2)
            for hz, q in ((2900.0, 8.0), (4800.0, 8.0), (7800.0, 7.0), (12_000.0, 6.0))
        )
    ),
    "high-frequency unit": AnalyticUnit(
        re_ohm=5.8,
        le_h=20e-6,
        pairs=((30e-6, 2.0),),
        bl_tm=3.0,
        mms_kg=0.35e-3,
        rms_kg_per_s=1.5,
        cms_m_per_n=37e-6,
        sd_m2=7e-4,
    ),
}
GRIDS = {
    "sweep": log_frequencies(),
    "stepped": stepped_frequencies(),
    "linear": np.arange(20.0, 20_000.0, 2.0),
}


@pytest.mark.parametrize("leads", [1, -1])
@pytest.mark.parametrize("grid", GRIDS)
@pytest.mark.parametrize("name", UNITS)
def test_the_interval_holds_the_time_of_flight(name: str, grid: str, leads: int) -> None:
    unit = AnalyticUnit(**{**vars(UNITS[name]), "leads": leads})
    for distance_m in (0.02, 1.0, 7.0):
        got = excess_delay(
            unit.pressure_per_volt(GRIDS[grid], distance_m=distance_m), frequency_hz=GRIDS[grid]
        )
        assert got.delay.uncertainty is not None
        assert abs(got.delay.value - distance_m / unit.c) < got.delay.uncertainty
        assert got.delay.uncertainty < 0.7 * SAMPLE_S
        assert got.sign == leads
        assert got.coherence > 0.99


@pytest.mark.parametrize("slope", [-3.0, 0.0, 1.0])
def test_what_lies_above_the_band_is_covered(slope: float) -> None:
    # Minimum phase, and above 20 kHz another slope than the one assumed: the worst that the
    # uncertainty promises to cover.
    hz = log_frequencies()
    s = 1j * hz / 75
    high_pass = s**2 / (s**2 + s / 0.7 + 1)
    corner = 1 + 1j * hz / 40_000
    transfer = high_pass * corner**slope * np.exp(-2j * np.pi * hz * 2e-3)
    got = excess_delay(transfer, frequency_hz=hz)
    assert got.delay.uncertainty is not None
    assert abs(got.delay.value - 2e-3) < got.delay.uncertainty


def test_noise_of_20_db_below_moves_it_by_less_than_what_is_stated() -> None:
    rng = np.random.default_rng(4)
    unit, hz = AnalyticUnit(), GRIDS["sweep"]
    truth = unit.pressure_per_volt(hz)
    for _ in range(20):
        heard = phasors(hz, truth, noise=0.07 * np.abs(truth), rng=rng).fundamental
        got = excess_delay(heard, frequency_hz=hz)
        assert got.delay.uncertainty is not None
        assert abs(got.delay.value - 1 / unit.c) < got.delay.uncertainty


@settings(max_examples=25, deadline=None)
@given(late_ms=st.floats(0, 200))
def test_what_comes_later_is_later_by_as_much(late_ms: float) -> None:
    hz = GRIDS["stepped"]
    transfer = AnalyticUnit().pressure_per_volt(hz, distance_m=0.345)
    shifted = transfer * np.exp(-2j * np.pi * hz * late_ms / 1000)
    found = [excess_delay(one, frequency_hz=hz).delay.value for one in (transfer, shifted)]
    assert found[1] - found[0] == pytest.approx(late_ms / 1000, abs=1e-8)


def test_gaps_are_skipped_and_a_narrow_band_is_not_trusted() -> None:
    hz = GRIDS["stepped"]
    transfer = AnalyticUnit().pressure_per_volt(hz)
    transfer[[3, 40]] = [np.nan, 0]
    assert excess_delay(transfer, frequency_hz=hz).delay.trusted
    few = excess_delay(transfer[:6], frequency_hz=hz[:6])
    assert not few.delay.trusted
    assert np.isnan(few.delay.value)


@settings(max_examples=30, deadline=None)
@given(delay_s=st.floats(-0.001, 0.02))
def test_whole_phase_comes_back_whatever_delay_was_chosen(delay_s: float) -> None:
    hz, unit = GRIDS["sweep"], UNITS["cone modes"]
    transfer = unit.pressure_per_volt(hz)
    got = level_phase(
        phasors(hz, transfer),
        voltage=phasors(hz, np.ones(hz.size)),
        delay_s=delay_s,
        valid=WHOLE,
    )
    whole = np.exp(1j * np.radians(got.value - 360 * hz * delay_s))
    np.testing.assert_allclose(whole, transfer / np.abs(transfer), rtol=0, atol=1e-9)


def test_phase_with_the_right_delay_taken_out_is_continuous_around_zero() -> None:
    hz = GRIDS["stepped"]
    unit = UNITS["cone modes"]
    got = level_phase(
        phasors(hz, unit.pressure_per_volt(hz)),
        voltage=phasors(hz, np.ones(hz.size)),
        delay_s=1 / unit.c,
        valid=WHOLE,
    )
    assert np.max(np.abs(np.diff(got.value))) < 120
    assert abs(np.median(got.value)) < 180


def test_phase_interval_holds_the_truth_in_95_of_100() -> None:
    rng = np.random.default_rng(9)
    hz, unit = log_frequencies(per_octave=40), AnalyticUnit()
    truth = unit.pressure_per_volt(hz)
    got = level_phase(
        phasors(hz, truth, noise=0.01 * np.abs(truth), rng=rng),
        voltage=phasors(hz, np.ones(hz.size), noise=0.02, rng=rng),
        delay_s=1 / unit.c,
        valid=WHOLE,
    )
    right = np.degrees(np.angle(truth * np.exp(2j * np.pi * hz / unit.c)))
    assert got.uncertainty is not None
    assert 0.913 <= np.mean(turn(got.value - right) <= got.uncertainty) <= 0.996


def test_alignment_and_links_add_in_power() -> None:
    hz = np.array([10_000.0])
    got = level_phase(
        phasors(hz, np.ones(1), noise=0.01),
        voltage=phasors(hz, np.ones(1)),
        delay_s=0.0,
        valid=WHOLE,
        chain_deg=0.4,
        alignment_s=1e-7,
    )
    # 0.5730 deg of noise, 0.36 deg of alignment, 0.4 deg of links.
    assert got.uncertainty == pytest.approx([2 * np.sqrt(0.572958**2 + 0.36**2 + 0.4**2)], abs=1e-5)


def turn(degrees: Floats) -> Floats:
    folded: Floats = np.abs((degrees + 180) % 360 - 180)
    return folded
