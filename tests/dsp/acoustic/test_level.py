import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import Curve, DspError, ValidRange
from dsp.acoustic.level import level
from tests.dsp.analytic_unit import AnalyticUnit, log_frequencies, phasors

WHOLE = ValidRange(low_hz=20.0, high_hz=20_000.0)
HZ = np.array([1000.0])


def simple(pa: float, *, volt: float = 1.0, distance_m: float = 1.0, **more: float) -> Curve:
    return level(
        phasors(HZ, np.array([pa])),
        voltage=phasors(HZ, np.array([volt])),
        reference_v=more.get("reference_v", 1.0),
        distance_m=distance_m,
        reference_distance_m=more.get("reference_distance_m", 1.0),
        valid=WHOLE,
    )


@pytest.mark.parametrize(
    ("db", "pa"),
    [(74, 0.100237), (94, 1.002374), (114, 10.023745), (124, 31.697864)],  # ISO 1683: 20 µPa
)
def test_levels_are_those_of_the_reference_pressure(db: float, pa: float) -> None:
    assert simple(pa).value[0] == pytest.approx(db, abs=5e-5)  # six digits printed


def test_one_pascal_is_not_94_db() -> None:
    assert simple(1.0).value[0] == pytest.approx(93.979400, abs=1e-6)


def test_level_is_that_of_the_efficiency() -> None:
    # Small (1972), unit of Re 6 ohm, no inductance, far above resonance: rho Bl U Sd / (2 pi r Re
    # Mms); 89.869231 dB at 2.83 V and 1 m, rho 1.2, c 343.
    pa = 1.2 * 6.5 * 0.0133 / (2 * np.pi * 6.0 * 12.5e-3)
    got = simple(pa * 0.5, volt=0.5, reference_v=2.83)
    assert got.value[0] == pytest.approx(89.869231, abs=1e-6)
    assert got.unit == "dB re 20 µPa"


@pytest.mark.parametrize(("metres", "db"), [(0.1, -20.0), (0.316, -10.0063), (0.5, -6.0206)])
def test_a_level_from_near_is_referred_to_one_metre(metres: float, db: float) -> None:
    near, far = simple(1.0, distance_m=metres).value[0], simple(1.0).value[0]
    assert near - far == pytest.approx(db, abs=5e-5)
    assert simple(1.0, distance_m=metres, reference_distance_m=metres).value[0] == far


@given(factor=st.floats(1e-3, 1e3), drive=st.floats(1e-3, 1e2))
def test_the_drive_does_not_change_the_level(factor: float, drive: float) -> None:
    assert simple(0.3 * factor, volt=drive * factor).value[0] == pytest.approx(
        simple(0.3, volt=drive).value[0], abs=1e-9
    )


def test_interval_holds_the_truth_in_95_of_100_with_noise_on_both_channels() -> None:
    rng = np.random.default_rng(2)
    hz = log_frequencies(per_octave=40)
    per_volt = AnalyticUnit().pressure_per_volt(hz)
    got = level(
        phasors(hz, 2 * per_volt, noise=0.02 * np.abs(per_volt), rng=rng),
        voltage=phasors(hz, np.full(hz.size, 2.0), noise=0.015, rng=rng),
        reference_v=2.83,
        distance_m=1.0,
        reference_distance_m=1.0,
        valid=WHOLE,
    )
    truth = 20 * np.log10(np.abs(per_volt) * 2.83 / 20e-6)
    assert got.uncertainty is not None
    inside = np.mean(np.abs(got.value - truth) <= got.uncertainty)
    assert 0.913 <= inside <= 0.996  # 95.45 %, four standard errors of 400 points


def test_chain_adds_in_power_to_noise() -> None:
    got = level(
        phasors(HZ, np.ones(1), noise=0.03),
        voltage=phasors(HZ, np.ones(1), noise=0.04),
        reference_v=1.0,
        distance_m=1.0,
        reference_distance_m=1.0,
        valid=WHOLE,
        chain_db=0.3,
    )
    # 3 and 4 % make 5 %, and 5 % of a neper are 0.4343 dB.
    assert got.uncertainty == pytest.approx([2 * np.hypot(0.05 * 20 / np.log(10), 0.3)])


def test_a_dead_microphone_is_minus_infinity_and_no_stop() -> None:
    assert simple(0.0).value[0] == -np.inf


def test_references_that_mean_nothing_are_refused() -> None:
    with pytest.raises(DspError, match="level: distance_m not positive"):
        simple(1.0, distance_m=0.0)
