"""A chain with a wrong sense resistor, leads and a late input, put right by known resistors."""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from app.cli.main import main
from dsp import Floats
from hardware.chain.load import load_chain
from hardware.virtual.bench import bench_of
from hardware.virtual.truth import small_signal

CHAIN = """\
name = "bench 4"
[device]
backend = "virtual"
[output.drive]
channel = 1
full_scale_v = 2.0
amplifier_gain = 2.0
max_terminal_v_rms = 4.0
nominal_ohm = 8.0
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
[virtual.truth]
terminal_full_scale_v = 7.9
resistor_ohm = 0.2291
lead_ohm = 0.09
sense_late_samples = 0.2
"""
PROCEDURE = """\
name = "quiet sweep"
[excitation]
kind = "log_sweep"
start_hz = 20
stop_hz = 20000
duration_s = 0.5
level_v_rms = 0.2
"""


@dataclass(frozen=True, kw_only=True)
class Off:
    """What was read over the truth, and what was stated, k = 2; 200 Hz to 10 kHz."""

    percent: Floats
    degrees: Floats
    stated_percent: Floats
    stated_degrees: Floats


def test_an_impedance_is_right_once_the_resistor_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chain, procedure = tmp_path / "chain.toml", tmp_path / "sweep.toml"
    chain.write_text(CHAIN)
    procedure.write_text(PROCEDURE)
    where = ["--chain", str(chain), "--store", str(tmp_path / "records.sqlite")]

    def off() -> Off:
        assert main(["measure", str(procedure), *where, "--json"]) == 0
        curves = json.loads(capsys.readouterr().out)["curves"]
        size, angle = curves["impedance"], curves["impedance_phase"]
        hz = np.array(size["frequency_hz"])
        read = np.array(size["value"]) * np.exp(1j * np.radians(np.array(angle["value"])))
        bench = bench_of(load_chain(chain))
        quotient = read / small_signal(bench.unit, air=bench.air).impedance(hz)
        band = (hz > 200) & (hz < 10_000)
        return Off(
            percent=100 * (np.abs(quotient) - 1)[band],
            degrees=np.degrees(np.angle(quotient))[band],
            stated_percent=100 * np.array(size["uncertainty"])[band] / np.abs(read)[band],
            stated_degrees=np.array(angle["uncertainty"])[band],
        )

    # In the middle: 8/7.9 of the voltage, 0.22/0.2291 of the resistor, 0.09 ohm of some 4 to 9.
    before = off()
    scale = 100 * (8 / 7.9 * 0.22 / 0.2291 - 1)
    assert scale < before.percent.min() < scale + 1.0
    assert scale + 1.0 < before.percent.max() < scale + 2.5
    # 0.2 samples of 48 kHz are 15 degrees at 10 kHz.
    assert before.degrees.max() == pytest.approx(15.0, abs=0.5)
    known = ["--ohm", "8.2", "--ohm", "47", "--check-ohm", "22", "--percent", "0.1"]
    assert main(["calibrate", "resistor", *where, *known, "--operator", "N. N.", "--json"]) == 0
    capsys.readouterr()
    after = off()
    assert np.abs(after.percent).max() < 0.1
    assert np.abs(after.degrees).max() < 0.1
    assert np.all(np.abs(after.percent) <= after.stated_percent)
    assert np.all(np.abs(after.degrees) <= after.stated_degrees)
    assert after.stated_percent.max() < 0.6
