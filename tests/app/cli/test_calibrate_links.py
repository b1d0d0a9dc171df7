"""``dustcap calibrate`` output, amplifier, input and resistor find what the rig has in truth."""

import json
from pathlib import Path
from typing import Any

import pytest

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
    assert desk.calibrate("resistor --ohm 0 --ohm 8.2 --ohm 47 --check-ohm 22 --peak 0.2") == 0
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
