import numpy as np
import pytest

from dsp import Curve, DspError, ValidRange
from dsp.parameters.circuit import Circuit
from dsp.parameters.coil_temperature import coil_temperature_c
from dsp.parameters.fit import fit_lumped
from dsp.parameters.over_drive import Driven, compression, over_drive
from tests.dsp.parameters.simulated import UNIT, measured, unit

CIRCUIT = Circuit(inductance="plain")


def driven(drive_v: float, *, seed: int = 0, warm: float = 1.0) -> Driven:
    # A suspension that stiffens by 2 % a square volt, a motor that weakens by 1 %.
    stiff, force = 1 + 0.02 * drive_v**2, 1 - 0.01 * drive_v**2
    changed = {
        "fs_hz": UNIT["fs_hz"] * np.sqrt(stiff),
        "qms": UNIT["qms"] * np.sqrt(stiff),
        "res_ohm": UNIT["res_ohm"] * force**2,
        "re_ohm": UNIT["re_ohm"] * warm,
    }
    data = measured(CIRCUIT, vector=unit(CIRCUIT, **changed), noise=1e-3, seed=seed)
    return Driven(drive_v=drive_v, fit=fit_lumped(data, most_bumps=0))


def test_small_signal_values_come_back_from_a_ladder() -> None:
    ladder = [driven(v, seed=n) for n, v in enumerate((2.0, 0.1, 0.5, 1.0, 0.2))]
    found = over_drive(ladder, cold_c=20.0)
    np.testing.assert_array_equal(found.drive_v, [0.1, 0.2, 0.5, 1.0, 2.0])
    fs, qts = found.at_rest
    truth = UNIT["qms"] * UNIT["re_ohm"] / (UNIT["re_ohm"] + UNIT["res_ohm"])
    assert abs(fs.value - 75.0) <= (fs.uncertainty or 0)
    assert abs(qts.value - truth) <= (qts.uncertainty or 0)
    np.testing.assert_allclose(found.compliance_ratio, 1 / (1 + 0.02 * found.drive_v**2), rtol=2e-3)
    np.testing.assert_allclose(found.force_ratio, 1 - 0.01 * found.drive_v**2, rtol=2e-3)
    assert found.small_to_v == pytest.approx(0.5)
    assert any(
        "small up to 0.5 V: at 2 V the resonance has moved by +3.9 %" in r for r in found.reasons
    )


def test_warming_is_told_from_the_resistance() -> None:
    found = over_drive([driven(0.1), driven(0.2, warm=1.1)], cold_c=20.0)
    assert found.coil_c[1] == pytest.approx(45.4, abs=0.2)
    assert any("the coil warmed by about 25 K" in reason for reason in found.reasons)


@pytest.mark.parametrize(
    ("ratio", "warm_c"), [(1.05, 32.7226), (1.1, 45.4453), (1.2, 70.8906), (1.5, 147.2265)]
)
def test_copper(ratio: float, warm_c: float) -> None:
    # IEC 60028: 0.00393 per K at 20 degC, worked by T2 = ratio (234.45 + 20) - 234.45.
    assert coil_temperature_c(ratio, cold_c=20.0) == pytest.approx(warm_c, abs=6e-5)
    with pytest.raises(DspError, match="ratio: given 0, allowed above 0"):
        coil_temperature_c(0, cold_c=20.0)


def test_one_drive_is_not_enough() -> None:
    with pytest.raises(DspError, match="drives: given 1, allowed two or more"):
        over_drive([driven(0.1), driven(0.1, seed=1)], cold_c=20.0)


def test_compression_is_what_is_missing() -> None:
    # A resistance that grew by 1.1 and 1.2: 0.8279 and 1.5836 dB where the mass rules.
    hz, valid = np.array([200.0, 400.0]), ValidRange(low_hz=100, high_hz=1000)
    low = Curve(
        frequency_hz=hz,
        value=np.full(2, 80.0),
        unit="dB",
        valid=valid,
        uncertainty=np.full(2, 0.3),
    )
    high = Curve(
        frequency_hz=hz,
        value=100.0 - 20 * np.log10([1.1, 1.2]),
        unit="dB",
        valid=ValidRange(low_hz=150, high_hz=2000),
        uncertainty=np.full(2, 0.4),
    )
    found = compression(high, low=low, drive_ratio=10.0)
    np.testing.assert_allclose(found.value, [-0.8279, -1.5836], atol=6e-5)
    assert found.uncertainty is not None
    np.testing.assert_allclose(found.uncertainty, 0.5)
    assert (found.valid.low_hz, found.valid.high_hz) == (150, 1000)
    with pytest.raises(DspError, match="drive_ratio"):
        compression(high, low=low, drive_ratio=0.0)
    other = Curve(frequency_hz=hz * 2, value=low.value, unit="dB", valid=valid)
    with pytest.raises(DspError, match="points differ"):
        compression(high, low=other, drive_ratio=10.0)
