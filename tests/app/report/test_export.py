"""Files of a take: what other programs read in them, and that they are whole or not there."""

import csv
import dataclasses
import json
import math
from pathlib import Path
from typing import Any

import h5py
import numpy as np
import pytest
import soundfile

from app.errors import BadInputError
from app.records.take import Take
from app.report.export import export_take
from app.report.take_document import take_document
from dsp import Curve, Number, ValidRange
from dsp.conformity.verdict import Verdict
from dsp.response.impulse import ImpulseResponse
from hardware.chain.snapshot import ResponseTable
from tests.app.records.made_takes import CHAIN, make_capture, make_take

CAPTURE = make_capture()
F = np.array([100.0, 200.0, 400.0])
VALID = ValidRange(low_hz=150.0, high_hz=400.0, low_reason="gate")
IMPULSE = ImpulseResponse(
    samples=np.array([0.0, 1.5, -0.25, 1e-9]),
    sample_rate_hz=48_000.0,
    zero_index=1,
    arrival_index=1,
)


def small_take(**changes: Any) -> Take:
    curves = {
        "level": Curve(
            frequency_hz=F,
            value=np.array([80.125, math.nan, 0.1 + 0.2]),
            unit="dB re 20 µPa",
            valid=VALID,
            uncertainty=np.array([0.5, math.nan, 0.25]),
        ),
        "h2": Curve(
            frequency_hz=F,
            value=np.array([-40.0, -71.0, -55.5]),
            unit="dB",
            valid=VALID,
            is_bound=np.array([False, True, False]),
        ),
        "h3": Curve(frequency_hz=F[:2], value=np.array([-60.0, -61.0]), unit="dB", valid=VALID),
    }
    return make_take(CAPTURE, **({"curves": curves} | changes))


def rows(path: Path) -> list[list[str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.reader(file))


def test_the_document_has_the_shape_that_scripts_rely_on() -> None:
    document = json.loads(json.dumps(take_document(small_take()), allow_nan=False))
    assert document["unit"] == "T4-W31-0417"
    assert document["verdict"] == "not decided"
    assert document["warnings"] == ["the microphone's calibration is 400 days old"]
    number = document["numbers"]["sensitivity_db"]
    assert {key: number[key] for key in ("value", "unit", "uncertainty", "k")} == {
        "value": 88.25,
        "unit": "dB",
        "uncertainty": 0.31,
        "k": 2,
    }
    level = document["curves"]["level"]
    assert level["frequency_hz"] == [100, 200, 400]
    assert level["value"] == [80.125, None, 0.1 + 0.2]
    assert level["uncertainty"] == [0.5, None, 0.25]
    assert level["valid_hz"] == [150, 400]
    assert level["unit"] == "dB re 20 µPa"
    assert document["curves"]["h2"]["uncertainty"] is None
    window = document["masks"]["window"]
    assert (window["verdict"], window["margin"], window["nearest_hz"]) == ("conforms", 0.7, 1250)
    assert document["findings"] == [
        {"cause": "coil rub", "confidence": 0.8, "because": ["high orders rise"]}
    ]


def test_scripts_that_know_three_verdicts_read_a_take_without_masks() -> None:
    unmasked = take_document(small_take(verdict=Verdict.NOT_JUDGED, masks={}))
    assert (unmasked["verdict"], unmasked["masks"]) == ("not decided", {})


def test_a_bound_is_no_value_and_stands_where_it_cannot_be_taken_for_one() -> None:
    curves: Any = take_document(small_take())["curves"]
    assert curves["h2"]["value"] == [-40, None, -55.5]
    assert curves["h2"]["bound"] == [None, -71, None]
    assert "bound" not in curves["level"]


def test_what_json_has_no_word_for_is_null() -> None:
    odd = {
        "a": Number(value=math.nan, unit="1"),
        "b": Number(value=math.inf, unit="1", uncertainty=-math.inf),
    }
    nowhere = ValidRange(low_hz=math.inf, high_hz=-math.inf)
    curve = Curve(frequency_hz=F, value=np.full(3, math.inf), unit="1", valid=nowhere)
    take = small_take(numbers=odd, curves={"c": curve})
    document: Any = json.loads(json.dumps(take_document(take), allow_nan=False))
    assert [document["numbers"][name]["value"] for name in odd] == [None, None]
    assert document["numbers"]["b"]["uncertainty"] is None
    assert document["masks"]["a resonance"]["margin"] is None
    assert document["curves"]["c"]["value"] == [None] * 3
    assert document["curves"]["c"]["valid_hz"] == [None, None]


def test_json_holds_the_document_and_both_snapshots(tmp_path: Path) -> None:
    take = small_take()
    (path,) = export_take(take, folder=tmp_path, formats=("json",))
    document = json.loads(path.read_text(encoding="utf-8"))
    assert document.items() >= take_document(take).items()
    assert type(take.procedure).model_validate(document["procedure_snapshot"]) == take.procedure
    assert type(take.chain).model_validate(document["chain_snapshot"]) == take.chain


def test_curves_at_the_same_frequencies_share_a_table_with_units_in_its_head(
    tmp_path: Path,
) -> None:
    written = export_take(small_take(), folder=tmp_path, formats=("csv",))
    assert [p.name for p in written] == ["numbers.csv", "masks.csv", "level.csv", "h3.csv"]
    assert rows(tmp_path / "level.csv") == [
        [
            "frequency [Hz]",
            "level [dB re 20 µPa]",
            "level uncertainty, k = 2 [dB re 20 µPa]",
            "level valid",
            "h2 [dB]",
            "h2 at most [dB]",
            "h2 valid",
        ],
        ["100.0", "80.125", "0.5", "0", "-40.0", "", "0"],
        ["200.0", "", "", "1", "", "-71.0", "1"],
        ["400.0", "0.30000000000000004", "0.25", "1", "-55.5", "", "1"],
    ]


def test_numbers_and_masks_say_why_they_are_not_to_be_trusted(tmp_path: Path) -> None:
    export_take(small_take(), folder=tmp_path, formats=("csv",))
    _, *numbers = rows(tmp_path / "numbers.csv")
    assert numbers[0] == ["sensitivity_db", "88.25", "dB", "0.31", "2.0", "", "mean", "0"]
    assert numbers[1] == ["re_ohm", "", "ohm", "", "2.0", "the coil rubs", "", "0"]
    _, *masks = rows(tmp_path / "masks.csv")
    assert masks[0] == ["window", "conforms", "0.7", "1250.0", ""]
    assert masks[1] == ["a resonance", "not decided", "", "", "not measured"]


def test_hdf5_holds_every_float_with_its_unit(tmp_path: Path) -> None:
    take = small_take()
    (path,) = export_take(
        take, folder=tmp_path, formats=("hdf5",), capture=CAPTURE, impulse=IMPULSE
    )
    with h5py.File(path) as file:
        assert (
            dict(file.attrs).items()
            >= {
                "id": take.id,
                "unit": "T4-W31-0417",
                "lot": "T4-W31",
                "verdict": "not decided",
                "procedure": "line-check",
            }.items()
        )
        assert "derived_from" not in file.attrs
        chain = type(take.chain).model_validate_json(file.attrs["chain_json"])
        assert chain == take.chain
        level = file["curves/level"]
        np.testing.assert_array_equal(level["value"][:], take.curves["level"].value)
        np.testing.assert_array_equal(level["frequency_hz"][:], F)
        np.testing.assert_array_equal(level["uncertainty"][:], take.curves["level"].uncertainty)
        assert level["value"].attrs["unit"] == "dB re 20 µPa"
        assert list(level.attrs["valid_hz"]) == [150, 400]
        assert file["curves/h2/is_bound"][:].tolist() == [False, True, False]
        assert file["numbers/sensitivity_db"][()] == 88.25
        assert (
            dict(file["numbers/sensitivity_db"].attrs).items()
            >= {
                "unit": "dB",
                "uncertainty": 0.31,
                "k": 2.0,
            }.items()
        )
        assert "uncertainty" not in file["numbers/re_ohm"].attrs
        assert file["masks/window"].attrs["margin"] == 0.7
        np.testing.assert_array_equal(file["capture"][:], CAPTURE.samples)
        assert file["capture"].attrs["sample_rate_hz"] == 48_000
        np.testing.assert_array_equal(file["impulse"][:], IMPULSE.samples)
        assert file["impulse"].attrs["zero_index"] == 1


def test_hdf5_takes_names_with_slashes_and_long_response_tables(tmp_path: Path) -> None:
    hz = tuple(np.geomspace(10, 40_000, 20_000).tolist())
    chain = CHAIN.model_copy(update={"response": ResponseTable(hz=hz, db=hz)})
    masks = {"level 50%/lower": small_take().masks["window"]}
    take = small_take(chain=chain, masks=masks)
    (path,) = export_take(take, folder=tmp_path, formats=("hdf5",))
    with h5py.File(path) as file:
        assert list(file["masks"]) == ["level 50%25%2Flower"]
        assert type(chain).model_validate_json(file.attrs["chain_json"]) == chain


def test_wav_holds_the_recording_to_the_last_bit_and_the_impulse_with_its_zero(
    tmp_path: Path,
) -> None:
    written = export_take(
        small_take(), folder=tmp_path, formats=("wav",), capture=CAPTURE, impulse=IMPULSE
    )
    assert [p.name for p in written] == ["capture.wav", "impulse.wav"]
    samples, rate = soundfile.read(written[0], dtype="float32")
    np.testing.assert_array_equal(samples, CAPTURE.samples)
    assert rate == 48_000
    with soundfile.SoundFile(written[1]) as file:
        assert (file.subtype, file.channels) == ("FLOAT", 1)
        assert "time zero at sample 1 counted from 0" in file.comment
        np.testing.assert_array_equal(file.read(dtype="float32"), IMPULSE.samples.astype("f4"))


def test_every_format_at_once_in_a_folder_that_is_made(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    written = export_take(small_take(), folder=folder, capture=CAPTURE, impulse=None)
    assert {p.name for p in folder.iterdir()} == {p.name for p in written}
    assert {p.suffix for p in written} == {".csv", ".json", ".h5", ".wav"}


def test_an_unknown_format_writes_nothing(tmp_path: Path) -> None:
    line = "export: no such format: given xlsx, allowed csv, json, hdf5, wav"
    with pytest.raises(BadInputError, match=line):
        export_take(small_take(), folder=tmp_path / "out", formats=("json", "xlsx"))
    assert not (tmp_path / "out").exists()
    assert export_take(small_take(), folder=tmp_path, formats=(" JSON ",))


@pytest.mark.parametrize("format_", ["csv", "json", "hdf5", "wav"])
def test_a_disk_that_refuses_leaves_the_old_file_and_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, format_: str
) -> None:
    written = export_take(small_take(), folder=tmp_path, formats=(format_,), capture=CAPTURE)
    before = {p: p.read_bytes() for p in written}

    def refuse(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)
    other = dataclasses.replace(small_take(), unit="T4-W31-9999", numbers={}, masks={})
    with pytest.raises(BadInputError, match="cannot be written: the disk is full"):
        export_take(other, folder=tmp_path, formats=(format_,), capture=CAPTURE)
    assert {p: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_a_folder_that_cannot_be_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(BadInputError, match=r"take\.json: cannot be written: not a directory"):
        export_take(small_take(), folder=tmp_path / "file", formats=("json",))
