"""Known resistors against a circuit that is written down by Kirchhoff's laws."""

from dataclasses import replace

import numpy as np
import pytest

from dsp.calibration.known_resistor import KnownResistor, ResistorReading
from dsp.calibration.resistor_readings import ResistorBench
from dsp.calibration.resistors import calibrate_resistors
from dsp.errors import DspError
from tests.dsp.calibration.resistor_circuit import HZ, Circuit

BENCH = ResistorBench(stated_ohm=0.1)
SKEWED = Circuit(
    sense_ohm=0.1013,
    voltage_gain=1.012,
    sense_gain=0.995,
    sense_late_s=0.3 / 48_000,
    crosstalk=10 ** (-70 / 20),
)


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def test_one_resistor_gives_the_scale() -> None:
    circuit = Circuit(sense_ohm=0.1013, voltage_gain=1.02)
    got = calibrate_resistors([circuit.on(8.2, rng=rng())], bench=BENCH)
    assert got.resistor.accepted, got.resistor.reasons
    assert got.resistor.value == pytest.approx(0.1013 / 1.02, rel=1e-6)
    assert got.resistor.quantity == "input.sense.resistor_ohm"
    assert got.lead is None


def test_two_tell_the_leads() -> None:
    circuit = Circuit(sense_ohm=0.1013, lead_ohm=0.035)
    got = calibrate_resistors([circuit.on(8.2, rng=rng()), circuit.on(47, rng=rng())], bench=BENCH)
    assert got.lead is not None
    assert got.lead.value == pytest.approx(0.035, abs=1e-6)
    assert got.resistor.value == pytest.approx(0.1013, rel=1e-6)


def test_a_short_tells_the_leads_with_one_resistor() -> None:
    circuit = Circuit(sense_ohm=0.1013, lead_ohm=0.035)
    got = calibrate_resistors([circuit.on(0, rng=rng()), circuit.on(8.2, rng=rng())], bench=BENCH)
    assert got.lead is not None
    assert got.lead.value == pytest.approx(0.035, abs=1e-6)


def test_three_take_everything_off() -> None:
    circuit = replace(SKEWED, lead_ohm=0.02)
    readings = [circuit.on(ohm, rng=rng()) for ohm in (2.2, 8.2, 47.0)]
    got = calibrate_resistors(readings, bench=BENCH, check=circuit.on(22, rng=rng()))
    # A coil with an inductance and a peak, as a unit has them.
    jw = 2j * np.pi * HZ
    load = 6 + 0.0005 * jw + 30 / (1 + 3j * (HZ / 80 - 80 / HZ))
    read = got.model.impedance(circuit.read(load, rng=rng()).ratio)
    np.testing.assert_allclose(read, load, rtol=2e-5)
    assert got.residual is not None
    assert np.max(np.abs(got.residual.value)) < 1e-3


def test_a_late_channel_is_told() -> None:
    readings = [SKEWED.on(ohm, rng=rng()) for ohm in (2.2, 8.2, 47.0)]
    got = calibrate_resistors(readings, bench=BENCH)
    # 0.3 samples of 48 kHz: 6.25 µs, and 45° at 20 kHz.
    assert got.late.quantity == "input.sense.late_s"
    assert got.late.value == pytest.approx(0.3 / 48_000, abs=1e-9)
    assert "6.25 µs late, 45° at 20 kHz" in got.late.checks[0].sentence
    prompt = calibrate_resistors([Circuit().on(8.2, rng=rng())], bench=BENCH)
    assert abs(prompt.late.value) < prompt.late.budget.expanded


def test_an_inductance_within_what_is_stated_stays_within_the_interval_of_the_delay() -> None:
    # 1 µH in 8.2 ohm turns its phase like 0.122 µs; half of it is well inside of the rectangle.
    load = np.asarray(8.2 + 2j * np.pi * HZ * 0.5e-6, dtype=np.complex128)
    pair = Circuit().read(load, rng=rng())
    got = calibrate_resistors(
        [ResistorReading(resistor=KnownResistor(ohm=8.2, uncertainty_percent=0.1), pair=pair)],
        bench=BENCH,
    )
    # A voltage that is ahead makes the sense input look late.
    assert got.late.value == pytest.approx(0.5e-6 / 8.2, rel=0.01)
    assert got.late.budget.standard_uncertainty == pytest.approx(1e-6 / np.sqrt(3) / 8.2, rel=0.01)
    assert abs(got.late.value) < got.late.budget.expanded


def test_what_is_left_to_the_person_is_noted() -> None:
    one = calibrate_resistors([Circuit().on(8.2, rng=rng())], bench=BENCH)
    two = calibrate_resistors(
        [Circuit().on(8.2, rng=rng()), Circuit().on(47, rng=rng())], bench=BENCH
    )
    assert any("Copper" in note or "copper" in note for note in one.remarks)
    assert any("does not tell what the leads have" in note for note in one.remarks)
    assert any("from 8.2 to 47 ohm" in note for note in two.remarks)


def test_an_open_circuit_tells_crosstalk() -> None:
    readings = [SKEWED.on(ohm, rng=rng()) for ohm in (8.2, 47.0)]
    got = calibrate_resistors(
        readings,
        bench=BENCH,
        open_circuit=SKEWED.read(1e9, rng=rng()),
        check=SKEWED.on(22, rng=rng()),
    )
    assert got.residual is not None
    assert np.max(np.abs(got.residual.value)) < 1e-3


def test_both_inputs_on_one_voltage_tell_gains_apart() -> None:
    both = Circuit(sense_gain=1.0, voltage_gain=1.012).read(1e12, rng=rng())
    pair = type(both)(voltage=both.voltage, sense=Circuit().read(1e12, rng=rng()).voltage)
    got = calibrate_resistors([Circuit().on(8.2, rng=rng())], bench=BENCH, together=pair)
    assert got.mismatch is not None
    assert got.mismatch.value == pytest.approx(1.2, abs=1e-4)


def test_the_check_resistor_shows_what_the_chain_will_read() -> None:
    # The chain knows resistor, leads and delay, but no crosstalk: e R / S of a resistor R.
    circuit = Circuit(lead_ohm=0.08, sense_late_s=6e-6, crosstalk=1e-5)
    readings = [circuit.on(ohm, rng=rng()) for ohm in (2.2, 8.2, 47)]
    got = calibrate_resistors(readings, bench=BENCH, check=circuit.on(22, rng=rng()))
    assert got.residual_of_chain is not None
    wanted = -100 * 1e-5 * 22.08 / 0.1
    np.testing.assert_allclose(got.residual_of_chain.value, wanted, atol=2e-3)
    assert got.resistor.accepted, got.resistor.reasons


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        (lambda c: [c.on(8.2, rng=rng(), true_ohm=47), c.on(47, rng=rng(), true_ohm=8.2)], "exch"),
        (lambda c: [c.on(82, rng=rng(), true_ohm=8.2)], "another resistor than typed"),
        (lambda c: [replace(c, noise_v=1e-4).on(8.2, rng=rng())], "play louder"),
        (lambda c: [replace(c, voltage_gain=-1).on(8.2, rng=rng())], "wired backwards"),
        (lambda c: [replace(c, sense_late_s=5e-4).on(8.2, rng=rng())], "simultaneous"),
        (lambda c: [c.on(8.2, rng=rng()), c.on(9, rng=rng())], "alike"),
        (lambda c: [c.on(8.2, rng=rng()), c.on(47, rng=rng(), true_ohm=49)], "not what it says"),
    ],
)
def test_what_is_wrong_is_refused_with_its_reason(readings: object, said: str) -> None:
    got = calibrate_resistors(readings(Circuit()), bench=BENCH)  # type: ignore[operator]
    assert not got.resistor.accepted
    assert any(said in reason for reason in got.resistor.reasons), got.resistor.reasons


def test_a_check_resistor_that_is_off_refuses() -> None:
    circuit = Circuit()
    readings = [circuit.on(8.2, rng=rng()), circuit.on(47, rng=rng())]
    got = calibrate_resistors(
        readings, bench=BENCH, check=circuit.on(22, rng=rng(), true_ohm=22 * 1.01)
    )
    assert got.resistor.reasons == (
        "check resistor of 22 ohm: read 22.22 ohm, off by 1.00 %, allowed ±0.13 %",
    )


def test_nothing_but_a_short_is_no_resistor() -> None:
    with pytest.raises(DspError, match="no resistor"):
        calibrate_resistors([Circuit().on(0, rng=rng())], bench=BENCH)


def test_the_stated_interval_holds() -> None:
    # Everything that has an uncertainty is drawn from it; 95.45 % stated, 400 runs:
    # 93 to 97.7 % is what 3 standard deviations of such a count leave.
    dice, inside_scale, inside_lead, runs = rng(7), 0, 0, 400
    bench = replace(BENCH, temperature_c=28.0)
    for _ in range(runs):
        circuit = Circuit(
            sense_ohm=0.1 * (1 + 0.02 * dice.standard_normal()), lead_ohm=0.03, noise_v=2e-7
        )
        readings = []
        for ohm in (8.2, 47.0):
            true = ohm * (1 + 0.0005 * dice.standard_normal() + dice.uniform(-1, 1) * 5 * 50e-6)
            pair = circuit.read(true + dice.uniform(-0.005, 0.005), rng=dice)
            resistor = KnownResistor(ohm=ohm, uncertainty_percent=0.1, ppm_per_k=50)
            readings.append(ResistorReading(resistor=resistor, pair=pair))
        got = calibrate_resistors(readings, bench=bench)
        assert got.lead is not None
        off = 100 * (circuit.sense_ohm / got.resistor.value - 1)
        inside_scale += abs(off) <= got.resistor.budget.expanded
        inside_lead += abs(got.lead.value - 0.03) <= got.lead.budget.expanded
    assert 0.925 <= inside_scale / runs <= 0.985
    assert 0.925 <= inside_lead / runs <= 0.985
