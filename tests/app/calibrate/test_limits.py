"""``dustcap calibrate limits`` on the rig: what it finds is what the rig was told is true."""

import json
from pathlib import Path
from typing import Any

import pytest

from app.cli.main import main

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
[input.pressure]
channel = 1
full_scale_v = 1.0
sensitivity_v_per_pa = 0.0125
[input.terminal]
channel = 2
full_scale_v = 8.0
[input.sense]
channel = 3
full_scale_v = 1.0
resistor_ohm = 0.22
[input.loopback]
channel = 4
full_scale_v = 4.0
[virtual]
latency_samples = 517.0
"""


def look_over(
    folder: Path, capsys: pytest.CaptureFixture[str], truth: str = "", without: str = ""
) -> tuple[int, dict[str, Any]]:
    chain = folder / "chain.toml"
    text = CHAIN.replace(without, "") if without else CHAIN
    chain.write_text(text + f"[virtual.truth]\n{truth}\n")
    words = ["calibrate", "limits", "--chain", str(chain), "--plays", "2", "--idle", "sense"]
    code = main(
        [*words, "--operator", "N. N.", "--store", str(folder / "records.sqlite"), "--json"]
    )
    said: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert chain.read_text() == text + f"[virtual.truth]\n{truth}\n"
    return code, said


def test_a_good_card_is_accepted_and_its_latency_found(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, said = look_over(tmp_path, capsys)
    assert (code, said["reasons"]) == (0, [])
    assert said["result"]["value"] * 48_000 == pytest.approx(517, abs=0.01)
    assert said["result"]["unit"] == "s"


@pytest.mark.parametrize(
    ("truth", "reason"),
    [
        # 4 × 8 ohm over 0.22 ohm: 2 % of that leave −77 dB.
        ("terminal_into_sense_db = -70.0", "loopback into sense: −6"),
        ("amplifier_gain = -2.0", "terminal inverts; the chain says that it keeps the sign"),
        ("hum_v = 0.02", "hum"),
    ],
)
def test_what_is_wrong_is_refused_with_its_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], truth: str, reason: str
) -> None:
    code, said = look_over(tmp_path, capsys, truth)
    assert code == 1
    assert any(reason in one for one in said["reasons"]), said["reasons"]


def test_without_a_wire_from_the_output_nothing_can_be_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chain = tmp_path / "chain.toml"
    kept = [part for part in CHAIN.split("[") if not part.startswith(("input.term", "input.loop"))]
    chain.write_text("[".join(kept))
    assert main(["calibrate", "limits", "--chain", str(chain), "--operator", "N. N."]) == 2
    assert "nothing hears the output through a wire" in capsys.readouterr().err
