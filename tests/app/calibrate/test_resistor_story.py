"""A chain with a wrong sense resistor, put right by known ones, measures the unit's truth."""

import json
from pathlib import Path

import numpy as np
import pytest

from app.cli.main import main
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


def test_an_impedance_is_right_once_the_resistor_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chain, procedure = tmp_path / "chain.toml", tmp_path / "sweep.toml"
    chain.write_text(CHAIN)
    procedure.write_text(PROCEDURE)
    where = ["--chain", str(chain), "--store", str(tmp_path / "records.sqlite")]

    def off_percent() -> tuple[float, float]:
        assert main(["measure", str(procedure), *where, "--json"]) == 0
        curve = json.loads(capsys.readouterr().out)["curves"]["impedance"]
        hz, ohm = np.array(curve["frequency_hz"]), np.array(curve["value"], dtype=np.float64)
        stated = np.array(curve["uncertainty"], dtype=np.float64) / ohm
        bench = bench_of(load_chain(chain))
        true = np.abs(small_signal(bench.unit, air=bench.air).impedance(hz))
        band = (hz > 200) & (hz < 2000)
        return (
            float(np.mean(100 * (ohm / true - 1)[band])),
            float(np.mean(100 * stated[band])),
        )

    # Z as read over Z in truth: 8/7.9 of the voltage, 0.22/0.2291 of the resistor.
    before, _ = off_percent()
    assert before == pytest.approx(100 * (8 / 7.9 * 0.22 / 0.2291 - 1), abs=0.05)
    known = ["--ohm", "8.2", "--ohm", "47", "--check-ohm", "22", "--percent", "0.1"]
    assert main(["calibrate", "resistor", *where, *known, "--operator", "N. N.", "--json"]) == 0
    capsys.readouterr()
    after, stated = off_percent()
    assert abs(after) < 0.05
    assert abs(after) <= stated < 0.3
