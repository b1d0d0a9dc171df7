"""A reference unit must give again what it gave: the rig's own truth moves by a known amount."""

import json
from pathlib import Path

import pytest

from app.cli.main import main
from tests.app.cli.bench_files import CHAIN, PROCEDURE, write_files

UNIT = "REF-1"


@pytest.mark.parametrize(
    ("truth", "ends", "reason"),
    [
        ("converter_noise_dbfs = -108", 0, ""),
        # 20 lg 1.03 = 0.257 dB: the input hears that much more than the file says.
        ("[virtual.truth]\npressure_full_scale_v = 0.970874", 1, "level +0.26 dB"),
        # The same current makes 2 % more voltage: 2 % less impedance.
        ("[virtual.truth]\nresistor_ohm = 0.2244", 1, "impedance −1.9"),
    ],
    ids=["nothing moved", "pressure input", "sense resistor"],
)
def test_what_moved_between_two_takes_is_found(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], truth: str, ends: int, reason: str
) -> None:
    files = write_files(tmp_path, chain=CHAIN + "[virtual]\n", procedure=PROCEDURE)
    store = ["--store", str(tmp_path / "a.sqlite"), "--chain", str(files.chain)]
    for later in ("", f"{truth}\n"):
        files.chain.write_text(f"{CHAIN}[virtual]\n{later}")
        assert main(["measure", str(files.procedure), *store, "--unit", UNIT]) in {0, 1}
    capsys.readouterr()
    check = ["calibrate", "reference", "--unit", UNIT, "--operator", "N. N.", "--json"]
    assert main([*check, *store]) == ends
    said = json.loads(capsys.readouterr().out)
    assert said["purpose"] == "check"
    assert reason in " ".join(said["reasons"])
    assert bool(said["reasons"]) is bool(ends)


def test_a_unit_with_one_take_is_no_reference(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = write_files(tmp_path)
    words = ["calibrate", "reference", "--unit", UNIT, "--chain", str(files.chain)]
    assert main([*words, "--store", str(tmp_path / "a.sqlite")]) == 2
    assert "--unit: takes of it in the store: given 0, allowed two or more" in (
        capsys.readouterr().err
    )
