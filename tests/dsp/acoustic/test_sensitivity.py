import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import Curve, DspError, Number, ValidRange
from dsp.acoustic.sensitivity import reference_voltage, sensitivity
from tests.dsp.analytic_unit import log_frequencies

HZ = log_frequencies(per_octave=12)
WHOLE = ValidRange(low_hz=20.0, high_hz=20_000.0)


def curve(value: object, *, uncertainty: object = None, valid: ValidRange = WHOLE) -> Curve:
    filled = np.broadcast_to(np.asarray(value, dtype=np.float64), HZ.shape).copy()
    return Curve(
        frequency_hz=HZ,
        value=filled,
        unit="dB re 20 µPa",
        valid=valid,
        uncertainty=None if uncertainty is None else np.full(HZ.size, uncertainty),
    )


def read(level: Curve, **more: object) -> Number:
    given: dict[str, object] = {"level_v": 2.83, "level_distance_m": 1.0, **more}
    return sensitivity(level, **given)  # type: ignore[arg-type]  # typed by each test


def test_mean_of_levels_is_a_power_mean() -> None:
    # 85 88 90 91 90 89 dB: 89.208569, not their arithmetic mean 88.8333 (IEC 60268-5).
    hz = np.array([500.0, 630.0, 800.0, 1000.0, 1250.0, 1600.0])
    level = Curve(
        frequency_hz=hz,
        value=np.array([85.0, 88, 90, 91, 90, 89]),
        unit="dB re 20 µPa",
        valid=ValidRange(low_hz=500, high_hz=1600),
    )
    assert read(level, at_hz=tuple(hz)).value == pytest.approx(89.208569, abs=5e-7)


@pytest.mark.parametrize(("ohm", "db"), [(4, 3.0151), (6, 1.2542), (8, 0.0048), (16, -3.0055)])
def test_two_point_eight_three_volts_against_one_watt(ohm: float, db: float) -> None:
    # 2.83 V into R re 1 W.
    volts = reference_voltage("2.83V", nominal_ohm=None)
    watt = reference_voltage("1W", nominal_ohm=ohm)
    a, b = (read(curve(90.0), at_hz=[1000.0], reference_v=v).value for v in (volts, watt))
    assert a - b == pytest.approx(db, abs=5e-5)


def test_one_watt_without_nominal_impedance_is_refused() -> None:
    with pytest.raises(DspError, match="1 W needs a nominal impedance"):
        reference_voltage("1W", nominal_ohm=None)


def test_a_level_stated_at_half_a_metre_and_one_volt_is_referred_to_1_m() -> None:
    got = read(curve(90.0), at_hz=[1000.0], level_v=1.0, level_distance_m=0.5)
    assert got.value == pytest.approx(90 + 20 * math.log10(2.83) - 6.0206, abs=5e-5)


def test_between_points_the_level_is_linear_in_log_f() -> None:
    got = read(curve(10 * np.log2(HZ / 20)), at_hz=[777.0])
    assert got.value == pytest.approx(10 * math.log2(777 / 20), abs=1e-9)


def test_band_mean_is_the_integral_over_log_f() -> None:
    # p2 proportional to f: the mean over log f from a to b is (b - a) / ln(b / a).
    got = read(curve(10 * np.log10(HZ)), band_hz=(200.0, 5000.0))
    assert got.value == pytest.approx(10 * math.log10(4800 / math.log(25)), abs=2e-3)


@given(db=st.floats(-40, 140), low=st.floats(30, 900), high=st.floats(1000, 19_000))
def test_a_flat_level_is_its_own_mean(db: float, low: float, high: float) -> None:
    assert read(curve(db), band_hz=(low, high)).value == pytest.approx(db, abs=1e-9)
    assert read(curve(db)).value == pytest.approx(db, abs=1e-9)


def test_neither_means_the_whole_valid_range() -> None:
    valid = ValidRange(low_hz=100.0, high_hz=1000.0)
    step = np.where((HZ >= 99) & (HZ <= 1001), 90.0, 20.0)
    got = read(curve(step, valid=valid))
    assert got.value == pytest.approx(90.0, abs=0.2)
    assert got.trusted


def test_noise_averages_out_and_the_chain_does_not() -> None:
    level = curve(90.0, uncertainty=2 * math.hypot(0.4, 0.3))
    points = HZ[24:88:4]  # 16 points of the curve itself
    got = read(level, at_hz=tuple(points), chain_db=0.3)
    assert got.uncertainty == pytest.approx(2 * math.hypot(0.4 / 4, 0.3), rel=1e-6)
    between = read(level, at_hz=[float(np.sqrt(HZ[30] * HZ[31]))], chain_db=0.0)
    assert between.uncertainty == pytest.approx(2 * 0.5 / math.sqrt(2), rel=1e-6)


def test_interval_of_a_band_holds_the_truth_in_95_of_100() -> None:
    rng = np.random.default_rng(21)
    inside = 0
    for _ in range(400):
        noisy = curve(90 + 0.5 * rng.standard_normal(HZ.size), uncertainty=1.0)
        got = read(noisy, band_hz=(200.0, 5000.0))
        assert got.uncertainty is not None
        # Power means of noise lie a little high: (ln 10 / 20) 0.5^2 dB, 0.03 dB here.
        bias = math.log(10) / 20 * 0.25
        inside += abs(got.value - bias - 90) <= got.uncertainty
    assert 365 <= inside <= 398  # 381.8, four standard errors of 4.2


@pytest.mark.parametrize("wanted", [{"at_hz": [50.0, 1000.0]}, {"band_hz": (50.0, 1000.0)}])
def test_a_figure_from_outside_the_valid_range_says_why(wanted: dict[str, object]) -> None:
    valid = ValidRange(low_hz=100.0, high_hz=20_000.0, low_reason="noise")
    got = read(curve(90.0, valid=valid), **wanted)
    assert got.value == pytest.approx(90.0)
    assert "100 Hz (noise)" in got.reason


def test_what_was_not_measured_is_no_number() -> None:
    got = read(curve(90.0), at_hz=[30_000.0])
    assert math.isnan(got.value)
    assert not got.trusted
    nowhere = ValidRange(low_hz=np.inf, high_hz=0.0)
    assert not read(curve(90.0, valid=nowhere)).trusted


def test_both_ways_at_once_are_refused() -> None:
    with pytest.raises(DspError, match="at_hz and band_hz both given"):
        read(curve(90.0), at_hz=[1000.0], band_hz=(100.0, 200.0))
    with pytest.raises(DspError, match="band does not rise"):
        read(curve(90.0), band_hz=(300.0, 200.0))
