"""Voltage scales against sines of known volts."""

from dataclasses import replace

import numpy as np
import pytest

from dsp import Floats
from dsp.calibration.loopback import KnownOutput, loopback_scale
from dsp.calibration.probe import steady_probe
from dsp.calibration.steady_sine import read_steady_sine
from dsp.calibration.voltage_scale import InputReading, input_scale, output_scale
from dsp.calibration.voltmeter import Voltmeter, VoltReading

RATE = 48_000.0
METER = Voltmeter(uncertainty_percent=0.5, resolution_v=0.001)


def recorded(
    peak: float,
    *,
    noise: float = 1e-5,
    seed: int = 1,
    hz: float = 1000.0,
    ppm: float = 30.0,
    hold_s: float = 1.0,
) -> Floats:
    """A probe as another clock records it: silence, mark and all."""
    probe = steady_probe(RATE, frequency_hz=hz * (1 + ppm * 1e-6), peak=peak, hold_s=hold_s).samples
    rng = np.random.default_rng(seed)
    return np.concatenate([np.zeros(700), probe]) + noise * rng.standard_normal(probe.size + 700)


def volts(rms: float, peak: float = 0.5, hz: float = 1000.0) -> VoltReading:
    return VoltReading(volts_rms=rms, peak=peak, frequency_hz=hz)


def test_an_output_is_volts_over_digits() -> None:
    # 4 V peak for digital 1.0: a sine of half of that is 2/√2 = 1.41421 V rms.
    got = output_scale([volts(1.41421)], meter=METER, expected_v=4.1)
    assert got.accepted, got.reasons
    assert got.quantity == "output.drive.full_scale_v"
    assert got.value == pytest.approx(4.0, rel=1e-5)
    # 0.5 % at k = 2, and a rectangle of 1 mV in 1.414 V: 0.25 and 0.0204 %.
    assert got.budget.standard_uncertainty == pytest.approx(np.hypot(0.25, 0.0204), rel=1e-3)


def test_an_output_that_a_meter_loads_is_put_right() -> None:
    # 100 ohm into 10 kohm: the divider takes 1/101 of the unloaded voltage.
    meter = replace(METER, input_ohm=10_000.0)
    got = output_scale([volts(1.41421 * 100 / 101)], meter=meter, source_ohm=100.0)
    assert got.value == pytest.approx(4.0, rel=1e-5)
    assert got.budget.lines[-1].source == "load of the meter"
    assert got.budget.lines[-1].contribution == pytest.approx(1 / np.sqrt(3))


def test_several_levels_show_how_well_it_repeats() -> None:
    got = output_scale([volts(1.4142, 0.5), volts(0.2830, 0.1), volts(2.829, 1.0)], meter=METER)
    line = next(line for line in got.budget.lines if line.source == "repeatability")
    each = np.array([1.4142 / 0.5, 0.2830 / 0.1, 2.829])
    wanted = 100 * np.std(each / each.mean(), ddof=1) / np.sqrt(3)
    assert line.standard_uncertainty == pytest.approx(wanted)
    assert line.degrees == 2
    assert got.accepted


@pytest.mark.parametrize(
    ("reading", "meter", "said"),
    [
        (volts(2.0), METER, "peak typed for the rms"),
        (volts(4.0), METER, "peak to peak typed"),
        (volts(1414.0), METER, "mV typed as V"),
        (volts(0.7071), METER, "half of it"),
        (volts(1.0), METER, "1/√2 of it"),
        (volts(5.0), METER, "allowed ±20 %"),
        (volts(1.414, hz=30_000.0), METER, "meter holds from 20 to 20000 Hz: read at 30000 Hz"),
        (volts(1.414), replace(METER, resolution_v=0.01), "take a lower range"),
    ],
)
def test_a_mistyped_output_is_refused_with_its_reason(
    reading: VoltReading, meter: Voltmeter, said: str
) -> None:
    got = output_scale([reading], meter=meter, expected_v=4.0)
    assert not got.accepted
    assert len(got.reasons) == 1
    assert said in got.reasons[0]


def test_one_mistyped_of_several_is_refused() -> None:
    got = output_scale([volts(1.414, 0.5), volts(0.33, 0.1)], meter=METER)
    assert "one was mistyped" in got.reasons[0]


def test_an_input_is_volts_over_what_it_recorded() -> None:
    reading = InputReading(channel=recorded(0.25), volts_rms=0.5, frequency_hz=1000.0)
    got = input_scale([reading], sample_rate_hz=RATE, link="loopback", meter=METER, expected_v=2.8)
    assert got.accepted, got.reasons
    assert got.quantity == "input.loopback.full_scale_v"
    assert got.value == pytest.approx(0.5 * np.sqrt(2) / 0.25, rel=1e-5)


def test_a_tone_is_read_at_its_own_frequency() -> None:
    # By the recorder's clock, which is 30 ppm slow here; noise leaves some 1e-6 Hz.
    sine = read_steady_sine(recorded(0.25), sample_rate_hz=RATE, near_hz=1000.0)
    assert sine.frequency_hz == pytest.approx(1000.03, abs=1e-5)
    assert sine.peak == pytest.approx(0.25, rel=1e-6)


def distorted(channel: Floats) -> Floats:
    bent: Floats = channel + 0.2 * channel**3
    return bent


def with_hum(channel: Floats) -> Floats:
    hum: Floats = 0.003 * np.sin(2 * np.pi * 50 * np.arange(channel.size) / RATE)
    return channel + hum


def wandering(channel: Floats) -> Floats:
    louder: Floats = channel * (1 + 0.01 * np.linspace(-1, 1, channel.size))
    return louder


@pytest.mark.parametrize(
    ("channel", "said"),
    [
        (np.clip(recorded(0.5) * 2.2, -1, 1), "clipped"),
        (recorded(0.0005), "re full scale"),
        (recorded(0.25, hz=1100.0), "played 1000 Hz"),
        (wandering(recorded(0.25)), "wanders"),
        (recorded(0.25, noise=0.01), "noise"),
        (with_hum(recorded(0.25)), "hum of 50 Hz mains"),
        (distorted(recorded(0.5)), "harmonics"),
    ],
)
def test_a_recording_that_carries_no_scale_is_refused(channel: Floats, said: str) -> None:
    reading = InputReading(channel=channel, volts_rms=1.0, frequency_hz=1000.0)
    got = input_scale([reading], sample_rate_hz=RATE, link="terminal", meter=METER)
    assert not got.accepted
    assert any(said in reason for reason in got.reasons), got.reasons


def test_a_loopback_hands_the_output_scale_on() -> None:
    # 4 V peak of an output, half played, recorded as 0.4: 2 V / 0.4 = 5 V.
    got = loopback_scale(
        [recorded(0.4)],
        sample_rate_hz=RATE,
        frequency_hz=1000.0,
        peaks=[0.5],
        output=KnownOutput(full_scale_v=4.0, uncertainty_percent=0.6),
    )
    assert got.accepted, got.reasons
    assert got.value == pytest.approx(5.0, rel=1e-5)
    assert got.budget.expanded == pytest.approx(0.6, rel=1e-3)


def test_a_loopback_that_loads_its_output_is_put_right() -> None:
    # 100 ohm into 10 kohm: 2 V become 2 × 100/101.
    got = loopback_scale(
        [recorded(0.4)],
        sample_rate_hz=RATE,
        frequency_hz=1000.0,
        peaks=[0.5],
        output=KnownOutput(full_scale_v=4.0, uncertainty_percent=0.6, source_ohm=100.0),
        input_ohm=10_000.0,
    )
    assert got.value == pytest.approx(5.0 * 100 / 101, rel=1e-5)


RUNS = 400  # 95.45 % is stated; a count of them scatters by 1 %
HELD = pytest.approx(0.95, abs=0.02)


def read(volts_rms: float, *, off: float, meter: Voltmeter) -> float:
    """What a meter shows that is off by a factor, to its last digit."""
    return round(volts_rms * off / meter.resolution_v) * meter.resolution_v


def test_the_interval_of_an_output_holds_in_93_to_97_of_100_runs() -> None:
    # The meter errs once for all levels, as its certificate says; the volts come and go by 0.1 %.
    dice, inside = np.random.default_rng(3), 0
    for _ in range(RUNS):
        off = dice.normal(1.0, METER.uncertainty_percent / 200)
        readings = [
            volts(read(peak * 4 / np.sqrt(2) * dice.normal(1.0, 0.001), off=off, meter=METER), peak)
            for peak in dice.uniform(0.2, 1.0, size=3)
        ]
        got = output_scale(readings, meter=METER, expected_v=4.0)
        inside += abs(4.0 / got.value - 1) * 100 <= got.budget.expanded
    assert inside / RUNS == HELD


def test_the_interval_of_an_input_holds_in_93_to_97_of_100_runs() -> None:
    # Noise, the meter and its last digit weigh alike; the sine is its closed form.
    dice, inside, rate = np.random.default_rng(4), 0, 2000.0
    meter = Voltmeter(uncertainty_percent=0.1, resolution_v=0.001)
    time_s = np.arange(round(0.9 * rate)) / rate
    for _ in range(RUNS):
        rms = dice.uniform(0.4, 0.6)
        turn = 2 * np.pi * dice.uniform(428.0, 432.0) * time_s + dice.uniform(0, 2 * np.pi)
        noisy = np.sqrt(2) * rms / 3 * np.cos(turn) + dice.normal(0, 0.005, size=time_s.size)
        reading = InputReading(
            channel=noisy,
            volts_rms=read(rms, off=dice.normal(1.0, 0.0005), meter=meter),
            frequency_hz=430.0,
        )
        got = input_scale([reading], sample_rate_hz=rate, link="sense", meter=meter)
        inside += abs(3 / got.value - 1) * 100 <= got.budget.expanded
    assert inside / RUNS == HELD
