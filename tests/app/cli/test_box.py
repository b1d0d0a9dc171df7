"""``dustcap box``: a unit predicted in a closed and in a vented box, typed or from a take."""

import csv
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.cli.main import main
from app.measure.boxed import Typed, unit_of
from app.records.store import Store
from dsp import Number
from tests.app.cli.bench_files import good_recording, write_files, write_recording
from tests.dsp.box.boxed import AIR

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
    assert "vent_speed" in again["curves"]


def test_files_hold_what_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--vent-cm2", "20", "--xmax-mm", "4", "--rated-power-w", "40"]
    assert main(["box", "vented", *TYPED, *words, "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("vented box of")
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


def test_parameters_of_a_take_bring_their_intervals_and_their_doubts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files, store = write_files(tmp_path), str(tmp_path / "s.sqlite")
    write_recording(files.recording, good_recording())
    main([*files.derive(), "--store", store])
    with Store.open(store) as records:
        first = records.take(records.find()[0].id)
        numbers = {
            "fs_hz": Number(value=45.0158, unit="Hz", uncertainty=0.9),
            "qms": Number(value=3.21412, unit="1", uncertainty=0.1),
            "qes": Number(value=0.502088, unit="1", reason="two peaks"),
            "vas_l": Number(value=24.9731, unit="l"),
            "re_ohm": Number(value=6.0, unit="ohm"),
            "le_mh": Number(value=0.5, unit="mH"),
        }
        take = replace(first, id="f" * 32, numbers=numbers)
        records.keep(take, capture=records.capture(first))
    capsys.readouterr()
    words = ["closed", "--take", "ffff", "--store", store, "--volume-l", "10"]
    found = document(capsys, *words, "--sd-cm2", "133")
    assert found["parameters"]["le_mh"] == 0.5
    assert "qes: two peaks" in found["warnings"]
    assert any("independent" in str(one) for one in found["warnings"])
    fc = found["numbers"]["fc_hz"]
    assert fc["uncertainty"] == pytest.approx(0.9 * 84.1845 / 45.0158, rel=1e-3)
    level = found["curves"]["level"]
    assert np.all(np.asarray(level["uncertainty"]) > 0)
    assert main(["box", *words]) == 2
    assert "sd_cm2" in capsys.readouterr().err


def test_volume_and_compliance_of_a_take_tell_the_area() -> None:
    # Vas = rho c2 Sd2 Cms: 24.9731 l, 1 mm/N, 1.2 kg/m3, 343 m/s give 133 cm2.
    numbers = {
        "fs_hz": Number(value=45.0158, unit="Hz"),
        "qms": Number(value=3.21412, unit="1"),
        "qes": Number(value=0.502088, unit="1"),
        "vas_l": Number(value=24.9731, unit="l", uncertainty=0.03 * 24.9731),
        "cms_mm_per_n": Number(value=1.0, unit="mm/N", uncertainty=0.04),
        "re_ohm": Number(value=6.0, unit="ohm"),
    }
    found = unit_of(Typed(), air=AIR, numbers=numbers)
    assert found.unit.sd_m2 == pytest.approx(133e-4, rel=1e-5)
    assert found.known is not None
    relative = np.sqrt(np.diag(found.known.covariance))
    np.testing.assert_allclose(relative, [0, 0, 0, 0.015, 0.0125, 0], atol=1e-9)
    thin = replace(AIR, density_kg_per_m3=1.08)
    up = unit_of(Typed(), air=thin, numbers=numbers, found_in=AIR).unit
    # The suspension and the area stay; as much air is softer, so less of it is as compliant.
    assert up.sd_m2 == found.unit.sd_m2
    assert up.vas_m3 == pytest.approx(0.9 * found.unit.vas_m3)


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
