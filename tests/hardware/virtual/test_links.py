"""Each electrical link of the rig, calibrated: what is found is what the rig was told is true."""

from typing import Any

import numpy as np
import pytest

from dsp import Floats
from dsp.calibration.chain_limits import idle_noise
from dsp.calibration.gain import Amplifier, amplifier_gain, gain_between
from dsp.calibration.hear import Heard, hear
from dsp.calibration.known_resistor import ChannelPair, KnownResistor, ResistorReading
from dsp.calibration.latency import latency
from dsp.calibration.loopback import KnownOutput, loopback_scale
from dsp.calibration.polarity import link_polarity
from dsp.calibration.probe import steady_probe, stepped_probe
from dsp.calibration.resistor_readings import ResistorBench
from dsp.calibration.resistors import calibrate_resistors
from dsp.calibration.voltage_scale import output_scale
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from dsp.excitation.excitation import Excitation
from dsp.response.harmonics import Harmonics
from hardware.card import PlayRequest
from hardware.chain.load import needed_input_channels
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.card import VirtualCard
from hardware.virtual.live import LiveRig
from hardware.virtual.voltmeter import shown_volts

RATE = 48_000
STEPPED = stepped_probe(RATE, low_hz=60, high_hz=16_000, per_octave=1, peak=0.2)
STEADY = steady_probe(RATE, peak=0.5, hold_s=1.0)
METER = Voltmeter(uncertainty_percent=0.4, resolution_v=0.001)
PRESSURE, TERMINAL, SENSE, LOOP = range(4)


def chain(sense_v: float = 1.0, **virtual: Any) -> Chain:
    return Chain.model_validate(
        {
            "name": "bench 2",
            "device": {"backend": "virtual", "sample_rate": RATE},
            "output": {
                "drive": {
                    "channel": 1,
                    "full_scale_v": 2.0,
                    "amplifier_gain": 2.0,
                    "max_terminal_v_rms": 4.0,
                }
            },
            "input": {
                "pressure": {"channel": 1, "full_scale_v": 1.0, "sensitivity_v_per_pa": 0.0125},
                "terminal": {"channel": 2, "full_scale_v": 8.0},
                "sense": {"channel": 3, "full_scale_v": sense_v, "resistor_ohm": 0.22},
                "loopback": {"channel": 4, "full_scale_v": 4.0},
            },
            "virtual": virtual,
        }
    )


def play(wired: Chain, probe: Excitation) -> Floats:
    card = VirtualCard(ChainSnapshot(chain=wired))
    request = PlayRequest(
        output=probe.samples.astype(np.float32),
        output_channel=1,
        input_channels=needed_input_channels(wired),
        sample_rate_hz=float(RATE),
        ceiling=1.0,
    )
    # Silence after the probe, so that its last mark arrives.
    tail = np.zeros(RATE // 10, dtype=np.float32)
    request = PlayRequest(
        output=np.concatenate([request.output, tail]),
        output_channel=1,
        input_channels=request.input_channels,
        sample_rate_hz=float(RATE),
        ceiling=1.0,
    )
    taken = card.play(request, on_progress=lambda _: None, should_stop=lambda: False)
    return taken.samples.astype(np.float64)


def hears(wired: Chain) -> Heard:
    return hear(play(wired, STEPPED), excitation=STEPPED, by=LOOP)


def in_volts(channel: Harmonics, *, full_scale_v: float) -> Harmonics:
    return Harmonics(
        frequency_hz=channel.frequency_hz,
        amplitude=channel.amplitude * full_scale_v,
        noise=channel.noise * full_scale_v,
    )


def pair(wired: Chain) -> ChannelPair:
    heard = hears(wired)
    assert wired.input.sense is not None
    return ChannelPair(
        voltage=in_volts(heard.channels[TERMINAL], full_scale_v=8.0),
        sense=in_volts(heard.channels[SENSE], full_scale_v=wired.input.sense.full_scale_v),
        clipped=heard.clipped[TERMINAL] or heard.clipped[SENSE],
    )


def test_output_then_loopback_then_amplifier() -> None:
    truth = {
        "output_full_scale_v": 2.06,
        "loopback_full_scale_v": 3.9,
        "amplifier_gain": -2.1,
        "terminal_full_scale_v": 7.9,
    }
    wired = chain(load_ohm=8.0, truth=truth, voltmeter={"off_percent": 0.1})
    volts = [
        VoltReading(
            volts_rms=shown_volts(wired, peak=peak, place="output jack"),
            peak=peak,
            frequency_hz=1e3,
        )
        for peak in (0.5, 0.9)
    ]
    output = output_scale(volts, meter=METER, expected_v=2.0)
    assert output.accepted, output.reasons
    assert abs(output.value / 2.06 - 1) * 100 <= output.budget.expanded

    known = KnownOutput(full_scale_v=output.value, uncertainty_percent=output.budget.expanded)
    loop = loopback_scale(
        [play(wired, STEADY)[:, LOOP]],
        sample_rate_hz=RATE,
        frequency_hz=1000.0,
        peaks=[0.5],
        output=known,
        expected_v=4.0,
    )
    assert loop.accepted, loop.reasons
    assert abs(loop.value / 3.9 - 1) * 100 <= loop.budget.expanded

    heard = hears(wired)
    sign = link_polarity(heard.channels[TERMINAL], link="amplifier", before=heard.channels[LOOP])
    assert sign.value == -1
    shown = VoltReading(
        volts_rms=shown_volts(wired, peak=0.5, place="amplifier"), peak=0.5, frequency_hz=1e3
    )
    amplifier = Amplifier(polarity=int(sign.value), expected=-2.0)
    gain = amplifier_gain([shown], meter=METER, output=known, amplifier=amplifier)
    assert gain.accepted, gain.reasons
    assert abs(gain.value / -2.1 - 1) * 100 <= gain.budget.expanded


def test_known_resistors_tell_what_the_rig_has() -> None:
    truth = {
        "resistor_ohm": 0.2231,
        "lead_ohm": 0.06,
        "terminal_into_sense_db": -80.0,
        "sense_late_samples": 0.3,
    }
    readings = [
        ResistorReading(
            resistor=KnownResistor(ohm=ohm, uncertainty_percent=0.1),
            pair=pair(chain(load_ohm=ohm, truth=truth)),
        )
        for ohm in (0.0, 8.2, 47.0)
    ]
    check = ResistorReading(
        resistor=KnownResistor(ohm=22.0, uncertainty_percent=0.1),
        pair=pair(chain(load_ohm=22.0, truth=truth)),
    )
    # The tap lies before the leads.
    got = calibrate_resistors(readings, bench=ResistorBench(stated_ohm=0.22), check=check)
    assert got.resistor.accepted, got.resistor.reasons
    assert got.lead is not None
    assert got.lead.value == pytest.approx(0.06, abs=1e-3)
    assert got.resistor.value == pytest.approx(0.2231, rel=1e-3)
    assert got.late.value * RATE == pytest.approx(0.3, abs=0.003)
    assert got.residual is not None
    assert np.max(np.abs(got.residual.value)) < 0.05


def test_an_input_that_clips_on_a_short_is_refused() -> None:
    # 0.8 V peak into 0.22 ohm leave no room in 0.4 V.
    short = ResistorReading(
        resistor=KnownResistor(ohm=0.0, uncertainty_percent=0.0),
        pair=pair(chain(0.4, load_ohm=0.0)),
    )
    known = ResistorReading(
        resistor=KnownResistor(ohm=8.2, uncertainty_percent=0.1), pair=pair(chain(load_ohm=8.2))
    )
    got = calibrate_resistors([short, known], bench=ResistorBench(stated_ohm=0.22))
    assert "an input clipped on 0 ohm: play it softer" in got.resistor.reasons


def test_a_gain_between_channels_is_that_of_the_rig() -> None:
    wired = chain(load_ohm=8.0, truth={"amplifier_gain": 2.1})
    heard = hears(wired)
    # Across the unit alone: the sense resistor keeps 0.22 of 8.22 ohm.
    got = gain_between(
        in_volts(heard.channels[TERMINAL], full_scale_v=8.0),
        before=in_volts(heard.channels[LOOP], full_scale_v=4.0),
        scales_uncertainty_percent=0.0,
        amplifier=Amplifier(expected=2.0),
    )
    assert got.value == pytest.approx(2.1 * 8 / 8.22, rel=1e-4)


def test_the_latency_is_that_of_the_converters() -> None:
    heard = hears(chain(load_ohm=8.0, latency_samples=517.25))
    told = latency([heard.start_sample], sample_rate_hz=RATE, sharp=heard.sharp)
    assert told.value * RATE == pytest.approx(517.25, abs=0.01)


def test_hum_at_the_jacks_is_heard() -> None:
    wired = chain(load_ohm=8.0, truth={"hum_v": 0.002, "mains_hz": 60})
    quiet = play(wired, STEADY)[: RATE // 2, LOOP]
    got = idle_noise(quiet, sample_rate_hz=RATE, full_scale_v=4.0, link="loopback")
    assert got.hum_v == pytest.approx(0.002, rel=0.01)
    assert got.mains_hz == 60


def test_a_short_and_an_open_circuit_can_be_put_there() -> None:
    short = pair(chain(load_ohm=0.0))
    assert np.max(np.abs(short.ratio)) < 1e-3
    leak = {"terminal_into_sense_db": -70.0}
    away = pair(chain(load_ohm=1e9, truth=leak))
    at = away.frequency_hz < 2000
    np.testing.assert_allclose(np.abs(1 / away.ratio[at]), 10 ** (-70 / 20), rtol=0.02)


def test_the_rig_that_others_open_has_the_same_links() -> None:
    wired = chain(
        load_ohm=8.0,
        converter_noise_dbfs=-200,
        noise_db_spl=None,
        truth={"hum_v": 0.001, "amplifier_gain": 2.1, "lead_ohm": 0.1, "sense_late_samples": 2.0},
    )
    played = np.sin(2 * np.pi * 1000 * np.arange(4800) / RATE).astype(np.float32) * np.float32(0.1)
    rig = LiveRig(ChainSnapshot(chain=wired), sample_rate_hz=float(RATE), channels=4)
    blocks = [rig.process(block) for block in played.reshape(-1, 480)]
    live = np.concatenate(blocks)[:, [TERMINAL, SENSE, LOOP]]
    card = VirtualCard(ChainSnapshot(chain=wired))
    request = PlayRequest(
        output=np.concatenate([played, np.zeros(480, dtype=np.float32)]),
        output_channel=1,
        input_channels=4,
        sample_rate_hz=float(RATE),
        ceiling=1.0,
    )
    taken = card.play(request, on_progress=lambda _: None, should_stop=lambda: False)
    # A card fades in; after that both are the same.
    late = slice(2400, 4800)
    np.testing.assert_allclose(
        live[late], taken.samples[late][:, [TERMINAL, SENSE, LOOP]], atol=2e-5
    )
