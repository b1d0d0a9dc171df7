import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import Curve, DspError, Floats, ValidRange
from dsp.grid import log_grid
from dsp.response.smooth import smooth

GRID = log_grid(low_hz=20, high_hz=20_000, per_octave=48)
WHOLE = ValidRange(low_hz=20, high_hz=20_000)


def level(value: Floats, *, valid: ValidRange = WHOLE, uncertainty: Floats | None = None) -> Curve:
    return Curve(
        frequency_hz=GRID, value=value, unit="dB re 20 µPa", valid=valid, uncertainty=uncertainty
    )


@given(db=st.floats(-100, 140), per_octave=st.floats(0.2, 96))
def test_a_constant_stays_that_constant(db: float, per_octave: float) -> None:
    got = smooth(level(np.full(GRID.size, db)), per_octave=per_octave)
    np.testing.assert_allclose(got.value, db, rtol=0, atol=1e-9)


@given(seed=st.integers(0, 2**32), offset=st.floats(-60, 60))
def test_a_gain_before_smoothing_is_a_gain_after_it(seed: int, offset: float) -> None:
    value = np.random.default_rng(seed).normal(90, 10, GRID.size)
    plain = smooth(level(value), per_octave=6)
    shifted = smooth(level(value + offset), per_octave=6)
    np.testing.assert_allclose(shifted.value, plain.value + offset, rtol=0, atol=1e-8)


@pytest.mark.parametrize("per_octave", [3, 5])  # edges on points, and between them
def test_the_mean_is_one_of_power_over_log_f(per_octave: int) -> None:
    # Power proportional to f: over a band of +-h in ln f the mean of e^x is e^x0 sinh(h)/h.
    got = smooth(level(10 * np.log10(GRID)), per_octave=per_octave)
    h = 0.3 * np.log(10) / 2 / per_octave
    inside = np.abs(np.log(GRID / np.sqrt(20 * 20_000))) < np.log(1000) / 2 - h - 0.001
    rise_db = (got.value - 10 * np.log10(GRID))[inside]
    # Straight lines between 48 points an octave lie above e^x by a twelfth of the step squared.
    np.testing.assert_allclose(rise_db, 10 * np.log10(np.sinh(h) / h), rtol=0, atol=1e-4)


def test_a_single_peak_is_spread_over_one_band_and_no_further() -> None:
    value = np.full(GRID.size, -200.0)
    peak = int(np.argmin(np.abs(GRID - 1000)))
    value[peak] = 0.0
    got = smooth(level(value), per_octave=6)
    # A triangle one step high and two steps wide in a band of 8 steps: 1/8 of its power.
    assert got.value[peak] == pytest.approx(10 * np.log10(1 / 8), abs=1e-6)
    assert got.value[peak + 3] == pytest.approx(10 * np.log10(1 / 8), abs=1e-6)
    assert got.value[peak + 4] == pytest.approx(10 * np.log10(1 / 16), abs=1e-3)
    assert got.value[peak + 5] < -100


def test_the_gate_s_bad_end_does_not_leak_into_the_valid_range() -> None:
    valid = ValidRange(low_hz=200, high_hz=10_000, low_reason="gate")
    value = np.where(GRID < 200, 150.0, 90.0)
    got = smooth(level(value, valid=valid), per_octave=1)
    inside = valid.holds(GRID)
    # A leak of one part in a million would add 4 dB; what is left is rounding beside 150 dB.
    np.testing.assert_allclose(got.value[inside], 90, rtol=0, atol=1e-6)
    assert got.valid == valid
    assert got.unit == "dB re 20 µPa"


def test_an_uncertainty_common_to_the_band_is_not_averaged_away() -> None:
    got = smooth(level(np.full(GRID.size, 90.0), uncertainty=np.full(GRID.size, 0.4)), per_octave=3)
    assert got.uncertainty is not None
    np.testing.assert_allclose(got.uncertainty, 0.4, rtol=0, atol=1e-9)


def test_an_unknown_uncertainty_is_left_out_and_spoils_no_other_band() -> None:
    uncertainty = np.full(GRID.size, 0.4)
    uncertainty[50] = np.nan
    got = smooth(level(np.full(GRID.size, 90.0), uncertainty=uncertainty), per_octave=12)
    assert got.uncertainty is not None
    np.testing.assert_allclose(got.uncertainty, 0.4, rtol=0, atol=1e-9)


def test_the_uncertainty_is_that_of_what_carries_the_power() -> None:
    near = np.abs(np.log(GRID / 1000)) < 0.03
    value = np.where(near, 90.0, 30.0)
    got = smooth(level(value, uncertainty=np.where(near, 0.2, 6.0)), per_octave=3)
    assert got.uncertainty is not None
    assert got.uncertainty[np.argmin(np.abs(GRID - 1000))] == pytest.approx(0.2, abs=0.001)


def test_a_missing_point_stays_missing_and_leaves_its_neighbours_whole() -> None:
    value = np.full(GRID.size, 90.0)
    value[[100, 101, 300]] = np.nan
    got = smooth(level(value), per_octave=6)
    assert np.flatnonzero(np.isnan(got.value)).tolist() == [100, 101, 300]
    np.testing.assert_allclose(got.value[~np.isnan(value)], 90, rtol=0, atol=1e-9)


def test_a_mean_to_which_a_bound_contributes_is_a_bound() -> None:
    is_bound = np.zeros(GRID.size, dtype=np.bool_)
    is_bound[200] = True
    curve = Curve(
        frequency_hz=GRID, value=np.full(GRID.size, -60.0), unit="dB", valid=WHOLE,
        is_bound=is_bound,
    )  # fmt: skip
    got = smooth(curve, per_octave=12)  # bands of 4 steps: 2 on either side
    assert got.is_bound is not None
    assert np.flatnonzero(got.is_bound).tolist() == [198, 199, 200, 201, 202]


def test_what_is_not_a_level_is_refused() -> None:
    impedance = Curve(frequency_hz=GRID, value=np.ones(GRID.size), unit="ohm", valid=WHOLE)
    with pytest.raises(DspError, match="smooth: not a level: given ohm"):
        smooth(impedance, per_octave=3)
    with pytest.raises(DspError, match="per_octave not positive"):
        smooth(level(np.zeros(GRID.size)), per_octave=0)


def test_nothing_known_and_a_single_point_pass_unchanged() -> None:
    nothing = smooth(level(np.full(GRID.size, np.nan)), per_octave=3)
    assert np.isnan(nothing.value).all()
    one = Curve(frequency_hz=np.array([100.0]), value=np.array([3.0]), unit="dB", valid=WHOLE)
    assert smooth(one, per_octave=3).value.tolist() == [3.0]
