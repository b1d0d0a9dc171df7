"""``dustcap box``: a unit predicted in a closed and in a vented box, typed or from a take."""

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.cli.main import main
from app.records.store import Store
from hardware.virtual.bench import bench_of
from hardware.virtual.truth import small_signal
from tests.app.cli.bench_files import good_recording, write_files, write_recording
from tests.app.measure.bench_job import job, procedure
from tests.app.measure.near_field_takes import kept

# The worked unit: Qts 0.434252, 88.615 dB for 1 W (c 343 m/s, 1.2 kg/m3; other air costs 0.1 dB).
TYPED = [
    *("--fs-hz", "45.0158"),
    *("--qms", "3.21412"),
    *("--qes", "0.502088"),
    *("--vas-l", "24.9731"),
    *("--sd-cm2", "133"),
    *("--re-ohm", "6"),
]


def document(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["box", *words, "--json"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    found: dict[str, Any] = json.loads(said.out)
    return found


def number(found: dict[str, Any], name: str) -> float:
    return float(found["numbers"][name]["value"])


def test_a_closed_box_of_10_l_is_what_small_says(capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "closed", *TYPED, "--volume-l", "10")
    assert number(found, "fc_hz") == pytest.approx(84.1845, abs=1e-3)
    assert number(found, "qtc") == pytest.approx(0.812099, abs=1e-5)
    assert number(found, "passband_db") == pytest.approx(89.869, abs=0.15)
    # 2.83 V re 1 W into the coil's 6 ohm: 1.2542 dB.
    watt = number(found, "passband_db") - number(found, "passband_loud_db")
    assert watt == pytest.approx(1.2542, abs=5e-5)
    curve = found["curves"]["level"]
    assert curve.keys() >= {"frequency_hz", "value", "unit", "uncertainty", "valid_hz"}
    assert found["loudest"] is None
    limits = {limit["name"]: limit for limit in found["limits"]}
    assert limits["piston"]["high_hz"] == pytest.approx(846, abs=8)


def test_without_a_volume_the_closed_box_is_the_flattest(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = document(capsys, "closed", *TYPED)
    assert number(found, "qtc") == pytest.approx(0.707107, abs=1e-6)
    # alpha = (Qtc / Qts)^2 - 1 (Small 1972).
    assert found["box"]["volume_l"] == pytest.approx(15.1217, abs=1e-3)


def test_a_vented_box_without_leaks_is_thieles_alignment(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = document(capsys, "vented", *TYPED, "--q-leakage", "inf")
    # Between no 6 (Qt 0.415: 0.927) and no 7 (0.466: 0.829) of Thiele's table.
    assert 0.829 < number(found, "tuning_ratio") < 0.927
    assert found["box"]["alignment"] == "C4"
    assert found["box"]["q_leakage"] is None
    assert found["box"]["vent"] is None


def test_a_vent_of_known_length_tunes_and_one_without_is_cut(
    capsys: pytest.CaptureFixture[str],
) -> None:
    cut = document(
        capsys, "vented", *TYPED, "--volume-l", "20", "--tuning-hz", "40", "--vent-cm2", "15"
    )
    vent = cut["box"]["vent"]
    again = document(
        capsys,
        *("vented", *TYPED, "--volume-l", "20", "--vent-cm2", "15"),
        *("--vent-mm", str(vent["length_mm"])),
    )
    assert again["box"]["tuning_hz"] == pytest.approx(40.0, rel=1e-9)
    assert again["box"]["alignment"] is None
    assert "vent_speed" in again["curves"]


def test_files_hold_what_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--vent-cm2", "20", "--xmax-mm", "4", "--rated-power-w", "40"]
    assert main(["box", "vented", *TYPED, *words, "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("vented box of")
    assert "(C4 for its Qts) by 1 vent of 20 cm²" in printed
    for said in ("stopped by", "excursion", "rated power", "Limits of the model", "half space"):
        assert said in printed
    assert (tmp_path / "box.png").read_bytes().startswith(b"\x89PNG")
    assert b"<svg" in (tmp_path / "box.svg").read_bytes()[:1000]
    with (tmp_path / "level.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    assert {"frequency [Hz]", "vent_speed [m/s]", "loudest [dB re 20 µPa]"} <= set(head)
    stored = json.loads((tmp_path / "box.json").read_text(encoding="utf-8"))
    assert len(rows) == len(stored["curves"]["level"]["value"])
    assert set(stored["loudest"]["limited_by"]) <= {"excursion", "rated power", "vent air speed"}


def test_a_take_brings_its_fitted_unit_with_its_intervals(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = str(tmp_path / "records.sqlite")
    asked = {"parameters": {"mms_g": 7.8, "mms_uncertainty_percent": 1.0, "sd_cm2": 85.0}}
    quiet = {"kind": "log_sweep", "start_hz": 10.0, "duration_s": 1.0, "level_v_rms": 0.2}
    with Store.open(place) as store:
        take = kept(
            job(store=store, loaded=procedure(excitation=quiet, quantities=asked, masks={}))
        )
    bench = bench_of(take.chain)
    truth = small_signal(bench.unit, air=bench.air)
    words = ["closed", "--take", take.id[:8], "--store", place, "--volume-l", "5"]
    found = document(capsys, *words)
    told = found["parameters"]
    assert told["fs_hz"] == pytest.approx(truth.fs_hz, rel=2e-3)
    assert told["qts"] == pytest.approx(truth.qts, rel=1e-2)
    assert told["vas_l"] == pytest.approx(truth.vas_l, rel=1.5e-2)
    assert told["sd_cm2"] == pytest.approx(85.0, rel=1e-9)
    alpha = truth.vas_l / 5
    fc = found["numbers"]["fc_hz"]
    assert fc["value"] == pytest.approx(truth.fs_hz * np.sqrt(1 + alpha), rel=1e-2)
    assert abs(fc["value"] - truth.fs_hz * np.sqrt(1 + alpha)) < 1.5 * fc["uncertainty"]
    level = np.asarray(found["curves"]["level"]["uncertainty"])
    assert np.all(level > 0)
    # What was typed counts and is exact.
    typed = document(capsys, *words, "--fs-hz", "80", "--le-mh", "0.2")
    assert typed["parameters"]["fs_hz"] == 80.0
    assert typed["parameters"]["le_mh"] == pytest.approx(0.2)


def test_a_take_that_tells_no_mass_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files, place = write_files(tmp_path), str(tmp_path / "s.sqlite")
    write_recording(files.recording, good_recording())
    main([*files.derive(), "--store", place])
    with Store.open(place) as records:
        take = records.find()[0].id
    capsys.readouterr()
    assert main(["box", "closed", "--take", take, "--store", place, "--volume-l", "5"]) == 2
    said = capsys.readouterr().err
    assert "not found in the take" in said
    assert said.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["closed", "--fs-hz", "45"], "parameters: missing: given qms, qes, vas_l, sd_cm2, re_ohm"),
        (["closed", *TYPED, "--volume-l", "5", "--qtc", "1"], "--volume-l: stands beside --qtc"),
        (["closed", *TYPED, "--qtc", "0.3"], "Qtc below the unit's"),
        (["vented", *TYPED, "--volume-l", "5"], "volume and tuning go together"),
        (["vented", *TYPED, "--tuning-hz", "5"], "volume and tuning go together"),
        (["vented", *TYPED, "--vent-mm", "50"], "--vent-mm: stands without --vent-cm2"),
        (
            ["vented", *TYPED, "--vent-cm2", "9", "--vent-mm", "50", "--tuning-hz", "40"],
            "--vent-mm: stands beside --tuning-hz",
        ),
        (["vented", *TYPED, "--vent-cm2", "0.2"], "too small for this tuning"),
    ],
)
def test_what_cannot_be_predicted_is_one_line_and_exit_2(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["box", *words]) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.err.count("\n") == 1
    assert told.out == ""
