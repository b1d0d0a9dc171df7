"""Each command the way a person types it: what it prints, leaves behind and returns."""

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from app.cli.main import main
from app.records.store import Store
from tests.app.cli.bench_files import (
    PROCEDURE,
    RATE,
    good_recording,
    write_files,
    write_recording,
)

# What scripts of others rely on, as the README's table of commands promises.
TOP = {"unit", "verdict", "warnings", "numbers", "curves", "masks", "findings"}
CURVES = {"level", "level_phase", "impedance", "impedance_phase", "thd", "high_order", "noise"}


def test_the_demo_measures_judges_keeps_and_draws(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--headless", "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("● T4-W31-0417 conforms")
    with Store.open(tmp_path / "records.sqlite") as records:
        (kept,) = records.find()
        assert records.capture(records.take(kept.id)).samples.size
    for name in ("level-impedance", "phase", "distortion", "time", "residual", "parameters"):
        assert (tmp_path / f"{name}.png").read_bytes().startswith(b"\x89PNG")
        assert b"<svg" in (tmp_path / f"{name}.svg").read_bytes()[:1000]
        assert name in printed


def test_json_is_one_document_of_the_promised_shape(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--headless", "--json", "--out", str(tmp_path)]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    document = json.loads(said.out)
    assert document.keys() >= TOP
    assert document["curves"].keys() >= CURVES | {f"h{order}" for order in range(2, 21)}
    for curve in document["curves"].values():
        assert curve.keys() >= {"frequency_hz", "value", "unit", "uncertainty", "valid_hz"}
        assert len(curve["frequency_hz"]) == len(curve["value"])
        assert np.all(np.diff(curve["frequency_hz"]) > 0)
    for number in document["numbers"].values():
        assert number.keys() >= {"value", "unit", "uncertainty", "k"}
    for mask in document["masks"].values():
        assert mask.keys() >= {"verdict", "margin", "nearest_hz"}


def test_render_writes_what_would_be_sent_and_nothing_louder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files, out = write_files(tmp_path), tmp_path / "x.wav"
    command = ["render", str(files.procedure), "--chain", str(files.chain), "--out", str(out)]
    assert main([*command, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    played, rate = soundfile.read(out)
    assert rate == RATE
    assert played.ndim == 1
    assert soundfile.info(out).subtype == "FLOAT"
    # 2 V rms of a sine at 10 V full scale, amplifier gain 1: closed form.
    assert np.abs(played).max() == pytest.approx(2.0 * np.sqrt(2) / 10, rel=1e-3)
    assert told["peak"] == pytest.approx(np.abs(played).max())
    assert played[0] == played[-1] == 0.0


def test_a_unit_outside_its_mask_is_exit_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = write_files(tmp_path, procedure=PROCEDURE.replace(", 60]", ", 95]"))
    write_recording(files.recording, good_recording())
    assert main(files.derive()) == 1
    assert "does not conform" in capsys.readouterr().out


def test_a_derived_take_is_kept_and_exported_where_it_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files, store, out = write_files(tmp_path), tmp_path / "store.sqlite", tmp_path / "out"
    write_recording(files.recording, good_recording())
    unit = ["--unit", "T4-W31-0009"]
    kept = [*files.derive(), "--store", str(store), *unit, "--lot", "", "--json"]
    assert main(kept) == 0
    derived = json.loads(capsys.readouterr().out)
    assert derived["lot"] is None  # an empty variable of a script
    assert main(["export", *unit, "--store", str(store), "--out", str(out), "--json"]) == 0
    written = [Path(name) for name in json.loads(capsys.readouterr().out)["files"]]
    assert {path.suffix for path in written} == {".csv", ".json", ".h5", ".wav"}
    exported = json.loads(next(path for path in written if path.suffix == ".json").read_text())
    assert exported["numbers"] == derived["numbers"]
    heard, _ = soundfile.read(next(path for path in written if path.name == "capture.wav"))
    recorded, _ = soundfile.read(files.recording)
    np.testing.assert_array_equal(heard, recorded)
    # For a person: by which id it is asked for, and where it lies.
    assert main([*files.derive(), "--store", str(store), *unit]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    with Store.open(store) as records:
        newest = records.find()[0].id
    assert last == f"take      {newest[:8]}, kept in {store}"


def test_an_export_of_what_is_not_there_is_exit_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = str(tmp_path / "store.sqlite")
    Store.open(store).close()
    asked = ["export", "--unit", "nobody", "--store", store, "--out", str(tmp_path / "out")]
    assert main(asked) == 2
    assert capsys.readouterr().err == "dustcap: export: no such take: given nobody\n"
    assert not (tmp_path / "out").exists()
