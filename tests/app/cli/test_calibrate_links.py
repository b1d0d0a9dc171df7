"""``dustcap calibrate`` output, amplifier, input and resistor find what the rig has in truth."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from app.cli.main import main
from app.records.store import Store
from hardware.chain.load import load_chain
from hardware.chain.schema import Chain

# The file states one thing, [virtual.truth] says what the rig has: what calibrations must find.
CHAIN = """\
name = "bench 4"
[device]
backend = "virtual"
[output.drive]
channel = 1
full_scale_v = 2.0
amplifier_gain = -2.0
max_terminal_v_rms = 4.0
calibrated_on = 2026-01-05
[input.terminal]
channel = 1
full_scale_v = 8.0
[input.sense]
channel = 2
full_scale_v = 1.0
resistor_ohm = 0.22
[input.loopback]
channel = 3
full_scale_v = 4.0
[virtual]
load_ohm = 8.2
[virtual.truth]
output_full_scale_v = 2.06
amplifier_gain = -2.1
loopback_full_scale_v = 3.9
resistor_ohm = 0.2231
lead_ohm = 0.06
[virtual.voltmeter]
off_percent = 0.1
"""


class Desk:
    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.file, self.store, self.capsys = folder / "a.toml", folder / "a.sqlite", capsys
        self.file.write_text(CHAIN)

    def calibrate(self, words: str) -> int:
        self.capsys.readouterr()
        where = ["--chain", str(self.file), "--store", str(self.store)]
        return main(["calibrate", *words.split(), *where, "--operator", "N.N.", "--json"])

    def said(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.capsys.readouterr().out)
        return found

    @property
    def chain(self) -> Chain:
        return load_chain(self.file).chain


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(tmp_path, capsys)


def holds(said: dict[str, Any], truth: float) -> bool:
    result = said["result"]
    return bool(abs(result["value"] - truth) <= result["uncertainty"])


def test_output_amplifier_and_loopback_are_found_one_after_the_other(desk: Desk) -> None:
    assert desk.calibrate("output --peak 0.4 --peak 0.9 --meter-percent 0.4 --seconds 1") == 0
    assert holds(desk.said(), 2.06)
    # The amplifier in the same table has not been proven since January: the older day stands.
    assert str(desk.chain.output.drive.calibrated_on) == "2026-01-05"
    assert desk.calibrate("amplifier --meter-percent 0.4 --seconds 1") == 0
    assert holds(desk.said(), -2.1)
    assert str(desk.chain.output.drive.calibrated_on) > "2026-01-05"
    assert desk.calibrate("input --input loopback --from-output --seconds 1") == 0
    assert holds(desk.said(), 3.9)
    wired = desk.chain.input.loopback
    assert wired is not None
    assert wired.full_scale_v == pytest.approx(3.9, rel=5e-3)


def test_volts_can_be_typed_from_an_earlier_play(desk: Desk) -> None:
    # 0.5 of 2.06 V peak is 0.7283 V rms: closed form.
    typed = "output --volts 0.7283 --peak 0.5 --meter-percent 0.2 --meter-step 0.0001"
    assert desk.calibrate(typed) == 0
    said = desk.said()
    assert said["result"]["value"] == pytest.approx(2.06, rel=1e-4)
    assert said["captures_sha256"] == []
    assert desk.calibrate("output --volts 0.7283") == 2
    assert "one for each --volts" in desk.capsys.readouterr().err


def test_a_mistyped_reading_is_refused_and_nothing_is_written(desk: Desk) -> None:
    typed = "output --volts 0.7283 --peak 0.5 --volts 0.9283 --peak 0.6"
    assert desk.calibrate(f"{typed} --meter-percent 0.2") == 1
    assert any("mistyped" in reason for reason in desk.said()["reasons"])
    assert desk.file.read_text() == CHAIN


def test_no_sine_is_louder_than_the_chain_allows(desk: Desk) -> None:
    desk.file.write_text(CHAIN.replace("max_terminal_v_rms = 4.0", "max_terminal_v_rms = 1.0"))
    # 1 V rms is 1.414 V peak of 4 V: 0.3536 of full scale.
    assert desk.calibrate("output --peak 0.5") == 2
    assert "allowed above 0 to 0.3536 of full scale" in desk.capsys.readouterr().err


def test_known_resistors_find_the_sense_resistor_and_the_leads(desk: Desk) -> None:
    known = "resistor --ohm 0 --ohm 8.2 --ohm 47 --check-ohm 22 --peak 0.2"
    assert desk.calibrate(f"{known} --out {desk.file.parent}") == 0
    said = desk.said()
    assert holds(said, 0.2231)
    lead, late = said["further"]
    assert holds(lead, 0.06)
    assert late["result"]["unit"] == "µs"
    assert holds(late, 0.0)
    assert any("copper" in remark for remark in said["remarks"])
    wired = desk.chain.input.sense
    assert wired is not None
    assert wired.resistor_ohm == pytest.approx(0.2231, rel=1e-3)
    assert wired.lead_ohm == pytest.approx(0.06, abs=wired.lead_uncertainty_ohm)
    page = "".join(path.read_text() for path in desk.file.parent.glob("*.svg"))
    for line in (f"input.sense.lead_ohm = {wired.lead_ohm} ohm", "terminal.full_scale_v"):
        assert line in page
    assert "-0.0" not in desk.file.read_text()
    assert said["numbers"]["residual_percent"]["value"] < 0.5


def test_the_probe_can_be_written_for_another_player(desk: Desk, tmp_path: Path) -> None:
    assert desk.calibrate(f"resistor --render {tmp_path / 'probe.wav'}") == 0
    assert (tmp_path / "probe.wav").stat().st_size > 100_000


def test_the_chain_is_heard_by_itself_and_nothing_of_it_changes(desk: Desk) -> None:
    before = desk.file.read_text()
    assert desk.calibrate("limits --plays 2 --peak 0.1") == 0
    said = desk.said()
    found = {one["quantity"]: one["result"]["value"] for one in [said, *said["further"]]}
    # The rig's converters are 480 samples late unless the file says otherwise: 10 ms.
    assert found["found.latency_s"] == pytest.approx(0.01, abs=1e-6)
    assert found["found.polarity.terminal"] == -1  # the amplifier inverts
    assert found["found.polarity.loopback"] == 1
    # Converter noise of -110 dB re a full-scale sine over half the rate, here to 20 kHz of 24:
    # 10 lg(20 / 24) = -0.8 dB.
    assert found["found.noise_dbfs.sense"] == pytest.approx(-110.8, abs=0.2)
    assert desk.file.read_text() == before


def test_noise_of_the_chain_is_no_reason_to_doubt_a_take(desk: Desk) -> None:
    desk.file.write_text(
        CHAIN.replace("load_ohm = 8.2", "load_ohm = 8.2\nconverter_noise_dbfs = -50")
    )
    assert desk.calibrate("limits --plays 1 --peak 0.1") == 1
    assert any("allowed −60 dB" in reason for reason in desk.said()["reasons"])
    with Store.open(desk.store) as store:
        assert store.calibration_state(desk.chain).failed == ()


def test_the_amplifier_is_found_without_a_meter_by_the_inputs_on_both_sides(desk: Desk) -> None:
    # Inputs are as the file says, but the loopback's, 3.9 V instead of 4, and the sense resistor
    # takes its part: 0.2231 of 8.2 + 0.06 + 0.2231 ohm, which its own input hears.
    assert desk.calibrate("amplifier --from-inputs --peak 0.2 --note loaded") == 0
    said = desk.said()
    assert said["result"]["value"] == pytest.approx(-2.1 * 3.9 / 4, rel=1e-3)  # it inverts
    assert said["note"] == "loaded"
    assert {line["source"] for line in said["budget"]} >= {"noise", "frequency response"}
    assert desk.chain.output.drive.amplifier_gain_found_with is None
    assert desk.calibrate("amplifier --from-inputs --volts 2") == 2
    desk.file.write_text(CHAIN.replace("[input.loopback]\nchannel = 3\nfull_scale_v = 4.0\n", ""))
    assert desk.calibrate("amplifier --from-inputs") == 2
    assert "one side of the amplifier is not heard" in desk.capsys.readouterr().err


def test_what_a_meter_and_an_input_load_is_put_back(desk: Desk) -> None:
    # 100 ohm into 10 kohm take 1/101 of what is there unloaded.
    typed = "output --volts 0.72115 --peak 0.5 --source-ohm 100 --meter-ohm 10000"
    assert desk.calibrate(typed) == 0
    assert desk.said()["result"]["value"] == pytest.approx(2.06, rel=1e-3)
    load = "--from-output --source-ohm 100 --input-ohm 10000"
    assert desk.calibrate(f"input --input loopback {load} --peak 0.4 --seconds 1") == 0
    # The rig's output has no resistance: the input would read 1/101 less, and its scale is 3.9 V.
    assert desk.said()["result"]["value"] == pytest.approx(3.9 / 1.01, rel=1e-3)


def written(desk: Desk, name: str, *, volts: dict[int, float]) -> list[str]:
    """Record the probe, scaled for each channel: what a circuit makes of it by Ohm's law."""
    probe, rate = soundfile.read(desk.file.with_name("probe.wav"))
    peak = np.max(np.abs(probe))
    columns = [probe / peak * volts.get(channel, 0.0) for channel in (1, 2, 3)]
    noise = np.random.default_rng(len(name)).normal(scale=1e-6, size=(probe.size, 3))
    path = desk.file.with_name(name)
    soundfile.write(path, np.stack(columns, axis=1) + noise, rate, subtype="FLOAT")
    return ["--capture", str(path)]


def test_an_open_circuit_and_both_inputs_together_tell_crosstalk_and_gains(desk: Desk) -> None:
    # 1 V peak at the tap; S = 0.2231 ohm; the sense input reads 2 % too little and hears 1e-4 of
    # the tap, in the sense input's own volts.
    assert desk.calibrate(f"resistor --render {desk.file.with_name('probe.wav')}") == 0
    sense, leak, gain = 0.2231, 1e-4, 0.98
    captures: list[str] = []
    for ohm in (8.2, 47.0):
        across = gain * sense / (ohm + 0.06) + leak
        captures += written(desk, f"{ohm}.wav", volts={1: 1 / 8, 2: across, 3: 0.1})
    captures += written(desk, "open.wav", volts={1: 1 / 8, 2: leak, 3: 0.1})
    captures += written(desk, "both.wav", volts={1: 0.5 / 8, 2: 0.5 * gain + 0.5e-4, 3: 0.1})
    known = "resistor --ohm 8.2 --ohm 47 --open-circuit --together"
    assert desk.calibrate(" ".join([known, *captures])) == 0
    said = desk.said()
    assert holds(said, gain * sense)
    found = {one["quantity"]: one for one in said["further"]}
    assert holds(found["input.sense.lead_ohm"], 0.06)
    mismatch = found["found.gain_mismatch_percent"]["result"]["value"]
    assert mismatch == pytest.approx(100 * (1 / (gain + 1e-4) - 1), abs=0.01)
    # Without the open circuit the crosstalk is told as what it may do.
    known = "resistor --ohm 8.2 --ohm 47 --crosstalk-db -80"
    assert desk.calibrate(" ".join([known, *captures[:4]])) == 0
    sources = {line["source"] for line in desk.said()["budget"]}
    assert "crosstalk, not told apart" in sources
    assert desk.calibrate(" ".join(["resistor --ohm 8.2 --ohm 47", *captures])) == 2
    assert "allowed 2, one for each resistor" in desk.capsys.readouterr().err


MICROPHONE = """\
[input.pressure]
channel = 4
full_scale_v = 2.0
sensitivity_v_per_pa = 0.0125
"""


@pytest.mark.parametrize(("sign", "ends"), [(1, 0), (-1, 1)])
def test_a_push_tells_the_sign_of_the_microphone(desk: Desk, sign: int, ends: int) -> None:
    desk.file.write_text(CHAIN.replace("[input.loopback]", f"{MICROPHONE}[input.loopback]"))
    before = desk.file.read_text()
    time_s = np.arange(3 * 48_000) / 48_000 - 1.0
    push = np.where(time_s > 0, 0.3 * np.exp(-time_s / 0.05), 0.0)  # a leaky box lets it go
    path = desk.file.with_name("push.wav")
    noise = np.random.default_rng(1).normal(scale=1e-3, size=push.size)
    soundfile.write(path, sign * push + noise, 48_000, subtype="FLOAT")
    assert desk.calibrate(f"polarity --capture {path}") == ends
    said = desk.said()
    assert said["result"]["value"] == sign
    assert desk.file.read_text() == before
    assert desk.calibrate("polarity") == 2  # nobody pushes on the rig
