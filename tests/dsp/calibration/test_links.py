"""Gain, response, polarity, latency, crosstalk and the chain's own limits, on known wires."""

import numpy as np
import pytest
from scipy import signal

from dsp import DspError, Floats
from dsp.calibration.chain_limits import idle_noise, own_distortion
from dsp.calibration.crosstalk import crosstalk
from dsp.calibration.gain import Amplifier, amplifier_gain, gain_between
from dsp.calibration.gain_response import gain_response
from dsp.calibration.hear import Heard, hear
from dsp.calibration.latency import latency
from dsp.calibration.loopback import KnownOutput
from dsp.calibration.polarity import link_polarity, microphone_polarity
from dsp.calibration.probe import stepped_probe
from dsp.calibration.resolves import impedance_resolution_percent, lowest_sound_level_db
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from dsp.response.harmonics import Harmonics

RATE = 48_000.0
PROBE = stepped_probe(RATE, peak=0.5, per_octave=1)
METER = Voltmeter(uncertainty_percent=0.2, resolution_v=0.001)
OUTPUT = KnownOutput(full_scale_v=4.0, uncertainty_percent=0.3)
LATE = 480
EDGE_HZ = 20_000.0


def lowpass(samples: Floats) -> Floats:
    """One pole at 20 kHz, by the bilinear transform with its corner kept."""
    numerator, denominator = signal.butter(1, EDGE_HZ, fs=RATE)
    out: Floats = signal.lfilter(numerator, denominator, samples)
    return out


def capture(*columns: Floats, noise: float = 1e-6, late: int = LATE) -> Floats:
    rng = np.random.default_rng(1)
    stack = np.column_stack(
        [np.concatenate([np.zeros(late), one, np.zeros(960)]) for one in columns]
    )
    noisy: Floats = stack + noise * rng.standard_normal(stack.shape)
    return noisy


def heard(*columns: Floats, noise: float = 1e-6, orders: int = 1) -> Heard:
    return hear(capture(*columns, noise=noise), excitation=PROBE, by=0, orders=orders)


def test_a_gain_is_volts_over_volts() -> None:
    # 4 V × 0.5 / √2 = 1.41421 V rms go in; 14.1421 V come out.
    reading = VoltReading(volts_rms=14.1421, peak=0.5, frequency_hz=1000.0)
    amplifier = Amplifier(polarity=-1, expected=-10.2)
    got = amplifier_gain([reading], meter=METER, output=OUTPUT, amplifier=amplifier)
    assert got.accepted, got.reasons
    assert got.value == pytest.approx(-10.0, rel=1e-5)
    assert got.budget.expanded == pytest.approx(np.hypot(0.2, 0.3), rel=1e-3)


def test_an_amplifier_wired_the_other_way_is_refused() -> None:
    reading = VoltReading(volts_rms=14.1421, peak=0.5, frequency_hz=1000.0)
    got = amplifier_gain(
        [reading], meter=METER, output=OUTPUT, amplifier=Amplifier(polarity=1, expected=-10)
    )
    assert got.reasons == ("the amplifier does not invert; the chain says that it inverts",)


def test_an_amplifier_that_limits_is_refused() -> None:
    readings = [
        VoltReading(volts_rms=2.82843, peak=0.1, frequency_hz=1000.0),
        VoltReading(volts_rms=26.0, peak=1.0, frequency_hz=1000.0),
    ]
    got = amplifier_gain(readings, meter=METER, output=OUTPUT, amplifier=Amplifier())
    assert "the amplifier limits" in got.reasons[0]


def test_a_gain_between_channels_has_its_sign() -> None:
    got = heard(PROBE.samples, -2 * PROBE.samples)
    gain = gain_between(
        got.channels[1],
        before=got.channels[0],
        scales_uncertainty_percent=0.4,
        amplifier=Amplifier(expected=-2.0),
    )
    assert gain.accepted, gain.reasons
    assert gain.value == pytest.approx(-2.0, rel=1e-4)


def test_a_response_is_that_of_the_filter() -> None:
    got = heard(PROBE.samples, 3 * lowpass(PROBE.samples))
    response = gain_response(got.channels[1], before=got.channels[0])
    hz = response.level.frequency_hz
    # The bilinear transform bends frequencies: tan(pi f / fs) against tan(pi fc / fs).
    bent = np.tan(np.pi * hz / RATE) / np.tan(np.pi * EDGE_HZ / RATE)
    wanted = -10 * np.log10(1 + bent**2)
    at = int(np.argmin(np.abs(np.log(hz / 1000))))
    np.testing.assert_allclose(response.level.value, wanted - wanted[at], atol=0.002)
    whole = response.phase.value - 360 * hz * response.delay_s
    np.testing.assert_allclose(whole, -np.degrees(np.arctan(bent)), atol=0.05)
    assert response.level.valid.high_hz < 12_000
    assert response.level.valid.high_reason == "0.5 dB"
    assert response.flatness_db == pytest.approx(np.max(np.abs(wanted - wanted[at])), abs=0.01)


def test_what_is_not_flat_is_in_the_budget_of_the_gain() -> None:
    got = heard(PROBE.samples, lowpass(PROBE.samples))
    response = gain_response(got.channels[1], before=got.channels[0])
    gain = gain_between(
        got.channels[1],
        before=got.channels[0],
        scales_uncertainty_percent=0.0,
        amplifier=Amplifier(response=response),
    )
    assert gain.budget.lines[-1].source == "frequency response"
    assert gain.budget.expanded > 20


@pytest.mark.parametrize("sign", [1, -1])
def test_a_link_keeps_or_turns_the_sign(sign: int) -> None:
    got = heard(PROBE.samples, sign * 0.3 * lowpass(PROBE.samples))
    told = link_polarity(got.channels[1], link="amplifier", before=got.channels[0], expected=sign)
    assert told.accepted, told.reasons
    assert told.value == sign
    other = link_polarity(got.channels[1], link="amplifier", before=got.channels[0], expected=-sign)
    assert not other.accepted


@pytest.mark.parametrize("sign", [1, -1])
def test_the_output_itself_has_a_sign(sign: int) -> None:
    got = heard(sign * PROBE.samples)
    assert link_polarity(got.channels[0], link="output", expected=sign).value == sign


def test_a_channel_without_signal_has_no_polarity() -> None:
    got = heard(PROBE.samples, 0 * PROBE.samples)
    told = link_polarity(got.channels[1], link="sense")
    assert "sense: no signal above its noise" in told.reasons


@pytest.mark.parametrize("sign", [1, -1])
def test_a_push_tells_a_microphone(sign: int) -> None:
    # A box that is closed by a hand: a quick rise, then a leak; and a swing to the other side.
    t = np.arange(24_000) / RATE - 0.2
    push = np.where(t >= 0, np.exp(-t / 0.05) - 1.4 * np.exp(-(((t - 0.1) / 0.03) ** 2)), 0.0)
    noisy = sign * 0.05 * push + 1e-4 * np.random.default_rng(1).standard_normal(t.size)
    assert microphone_polarity(noisy, expected=sign).accepted
    assert not microphone_polarity(noisy, expected=-sign).accepted
    assert "no push" in microphone_polarity(noisy[:9000], expected=sign).reasons[0]


def test_a_latency_is_the_delay_of_the_wire() -> None:
    got = heard(PROBE.samples)
    told = latency([got.start_sample], sample_rate_hz=RATE, sharp=got.sharp)
    assert told.accepted, told.reasons
    assert told.value * RATE == pytest.approx(LATE, abs=0.002)


def test_a_latency_that_jumps_is_refused() -> None:
    told = latency([480.0, 480.0, 992.0], sample_rate_hz=RATE, sharp=True)
    assert "differs by 512 samples" in told.reasons[0]


def test_crosstalk_is_that_of_the_wire() -> None:
    got = heard(PROBE.samples, 1e-3 * PROBE.samples)
    told = crosstalk(
        got.channels[1], driven=got.channels[0], names=("sense", "terminal"), most_db=-50
    )
    assert told.worst.accepted
    assert told.worst.value == pytest.approx(-60, abs=0.05)
    np.testing.assert_allclose(told.level.value, -60, atol=0.05)
    strict = crosstalk(
        got.channels[1], driven=got.channels[0], names=("sense", "terminal"), most_db=-70
    )
    assert strict.worst.reasons[0].startswith("terminal into sense: −60.0 dB")


def test_crosstalk_below_the_noise_is_a_bound() -> None:
    got = heard(PROBE.samples, 0 * PROBE.samples, noise=1e-4)
    told = crosstalk(got.channels[1], driven=got.channels[0], names=("sense", "terminal"))
    assert told.level.is_bound is not None
    assert told.level.is_bound.mean() > 0.8
    assert told.worst.value < -90


def test_idle_noise_has_its_level_and_its_hum() -> None:
    # White noise of 1e-4 a sample: 20 Hz to 20 kHz hold 0.8325 of its power.
    rng = np.random.default_rng(2)
    t = np.arange(48_000) / RATE
    hum = 3e-4 * np.sin(2 * np.pi * 50 * t) + 1e-4 * np.sin(2 * np.pi * 150 * t)
    got = idle_noise(
        1e-4 * rng.standard_normal(t.size) + hum,
        sample_rate_hz=RATE,
        full_scale_v=2.0,
        link="sense",
    )
    white, mains = 1e-8 * 0.8325, (9e-8 + 1e-8) / 2
    assert got.noise.value == pytest.approx(10 * np.log10(2 * (white + mains)), abs=0.15)
    assert got.hum.value == pytest.approx(10 * np.log10(2 * mains), abs=0.15)
    assert got.mains_hz == 50
    assert got.noise_v == pytest.approx(2 * np.sqrt(white + mains), rel=0.02)
    assert got.density_v_per_rthz == pytest.approx(2 * np.sqrt(white / 19_980), rel=0.05)
    assert got.noise.accepted


def test_hum_that_noise_hides_is_a_bound() -> None:
    white = 1e-4 * np.random.default_rng(4).standard_normal(48_000)
    got = idle_noise(white, sample_rate_hz=RATE, full_scale_v=1.0, link="sense")
    assert got.hum_is_bound
    assert 0 < got.hum_v < 0.1 * got.noise_v
    assert "hum at most" in got.hum.checks[-1].sentence
    # A line of that strength would have been seen.
    t = np.arange(48_000) / RATE
    line = np.sqrt(2) * got.hum_v * np.sin(2 * np.pi * 50 * t)
    seen = idle_noise(white + line, sample_rate_hz=RATE, full_scale_v=1.0, link="sense")
    assert not seen.hum_is_bound


def test_a_dead_input_is_refused() -> None:
    got = idle_noise(np.zeros(48_000), sample_rate_hz=RATE, full_scale_v=2.0, link="sense")
    assert got.noise.reasons == ("sense: the same sample all along, nothing is recorded",)


def test_hum_that_is_heard_is_refused() -> None:
    t = np.arange(48_000) / RATE
    noise = 1e-5 * np.random.default_rng(1).standard_normal(t.size)
    got = idle_noise(
        noise + 0.01 * np.sin(2 * np.pi * 60 * t),
        sample_rate_hz=RATE,
        full_scale_v=1.0,
        link="sense",
    )
    assert "hum −40.0 dB re a full-scale sine" in got.hum.reasons[0]
    assert got.mains_hz == 60


def test_noise_is_told_as_a_sound_level() -> None:
    # 1 mV of noise at 50 mV/Pa is 20 mPa: 60 dB re 20 µPa.
    rng = np.random.default_rng(2)
    white = rng.standard_normal(48_000) * 1e-3 / np.sqrt(0.8325)
    idle = idle_noise(white, sample_rate_hz=RATE, full_scale_v=1.0, link="pressure")
    assert lowest_sound_level_db(idle, v_per_pa=0.05) == pytest.approx(60.0, abs=0.1)
    with pytest.raises(DspError, match="v_per_pa"):
        lowest_sound_level_db(idle, v_per_pa=0.0)


def test_noise_scatters_an_impedance_as_foretold() -> None:
    # 0.1 V into 8 ohm behind 0.22 ohm, 1 kHz held for 0.1 s, 300 times: against the foretold.
    rng, seconds, source, load, shunt = np.random.default_rng(5), 0.1, 0.1, 8.0, 0.22
    noise = {"voltage": 2e-4, "sense": 2e-5}
    long = {k: rng.standard_normal(96_000) * one for k, one in noise.items()}
    idle = {
        k: idle_noise(one, sample_rate_hz=RATE, full_scale_v=1.0, link=k) for k, one in long.items()
    }
    foretold = impedance_resolution_percent(
        idle["voltage"],
        sense=idle["sense"],
        gains=(1.0, 1.0),
        source_v_rms=source,
        load_ohm=load,
        resistor_ohm=shunt,
        seconds=seconds,
    )
    turn = np.exp(-2j * np.pi * 1000 * np.arange(round(seconds * RATE)) / RATE)
    size = {k: np.sqrt(2) / turn.size for k in noise}
    current = source / (load + shunt)
    read = {}
    for k, volts in (("voltage", current * load), ("sense", current * shunt)):
        drawn = rng.standard_normal((300, turn.size)) * noise[k]
        read[k] = volts + size[k] * (drawn @ turn)
    z = np.abs(read["voltage"] / read["sense"])
    # Scatter of a scatter of 300: 4 %; three times that is allowed.
    assert 100 * np.std(z) / np.mean(z) == pytest.approx(foretold, rel=0.12)


def test_a_cubic_has_its_third_harmonic() -> None:
    # x + a x³ at peak p: the third is a p³/4 over p + 3 a p³/4.
    bent = PROBE.samples + 0.02 * PROBE.samples**3
    got = own_distortion(heard(bent, orders=5).channels[0])
    third = 0.02 * 0.125 / 4 / (0.5 + 0.75 * 0.02 * 0.125)
    at = got.thd.frequency_hz < 2000
    np.testing.assert_allclose(got.thd.value[at], 100 * third, rtol=1e-3)
    np.testing.assert_allclose(got.resolved[1].value[at], 20 * np.log10(third), atol=0.05)
    assert np.all(got.resolved[0].value[at] < -90)
    assert got.worst.accepted


def test_noise_does_not_count_as_distortion() -> None:
    # A harmonic of six standard deviations: unseen, noise would add 2/36 of its power.
    rng, true, noise = np.random.default_rng(6), 6e-4, 1e-4
    hz = np.geomspace(20, 2000, 4000)
    drawn = noise * (rng.standard_normal(hz.size) + 1j * rng.standard_normal(hz.size))
    loop = Harmonics(
        frequency_hz=hz,
        amplitude=np.stack([np.ones(hz.size, dtype=np.complex128), true + drawn]),
        noise=np.full((2, hz.size), noise),
    )
    power = np.mean((own_distortion(loop).thd.value / 100) ** 2)
    assert power == pytest.approx(true**2, rel=0.02)


def test_a_wire_distorts_no_more_than_noise_lets_see() -> None:
    got = own_distortion(heard(PROBE.samples, orders=5, noise=1e-4).channels[0])
    assert got.thd.is_bound is not None
    assert got.thd.is_bound[got.thd.frequency_hz < 2000].mean() > 0.8
    assert got.worst.value < 0.05


def test_a_chain_that_distorts_is_refused() -> None:
    bent = PROBE.samples + 0.5 * PROBE.samples**3
    got = own_distortion(heard(bent, orders=5).channels[0])
    assert "allowed 0.5 %" in got.worst.reasons[0]


def test_another_clock_changes_nothing() -> None:
    # The probe at 48 kHz + 40 ppm, band-limited: read at the moments of the other clock.
    size = PROBE.samples.size
    other = np.interp(np.arange(size) * (1 - 40e-6), np.arange(size), PROBE.samples)
    got = hear(capture(other, -2 * other), excitation=PROBE, by=0)
    gain = gain_between(
        got.channels[1], before=got.channels[0], scales_uncertainty_percent=0, amplifier=Amplifier()
    )
    assert got.clock_offset_ppm == pytest.approx(40, abs=2)
    assert gain.value == pytest.approx(-2, rel=1e-4)
