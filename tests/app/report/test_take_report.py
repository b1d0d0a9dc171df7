"""The report of a take says what was found, how sure it is, and everything that it rests on."""

import dataclasses
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.cli.main import main
from app.measure.read_again import read_again
from app.records.reread import Reread
from app.records.store import Store
from app.records.take import Take
from app.records.version import SOFTWARE_VERSION
from app.report.report_parameters import parameter_blocks
from app.report.sheet import Picture, Row
from app.report.take_report import leave_report
from app.report.take_report_facts import calibration_facts, made, provenance
from dsp.conformity.verdict import Verdict
from tests.app.measure.bench_job import job, open_store, procedure
from tests.app.measure.near_field_takes import kept
from tests.app.records.made_calibrations import make_calibration
from tests.app.records.made_takes import make_capture
from tests.app.report.pdf_words import pdf_words

MASKS = {
    "level": {"quantity": "level", "upper": [[100.0, 90.0], [10_000.0, 90.0]]},
    "resonance": {"quantity": "fs_hz", "upper": 60.0},
}
TINY = {"kind": "log_sweep", "start_hz": 20.0, "duration_s": 0.25, "level_v_rms": 0.5}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("report")


@pytest.fixture(scope="module")
def store(folder: Path) -> Iterator[Store]:
    with open_store(folder) as opened:
        yield opened


@pytest.fixture(scope="module")
def heavy(store: Store) -> Take:
    loaded = procedure(excitation=TINY, masks={})
    return kept(job(store=store, loaded=loaded, faults={"wrong_mass": 0.8}))


@pytest.fixture(scope="module")
def found(store: Store, heavy: Take) -> Reread:
    asked = {"second_take": heavy.id, "added_mass_g": 3.12, "sd_cm2": 85.0}
    loaded = procedure(excitation=TINY, masks=MASKS, quantities={"parameters": asked})
    return read_again(store, kept(job(store=store, loaded=loaded)).id)


@pytest.fixture(scope="module")
def page(found: Reread, folder: Path) -> Path:
    return leave_report(found, file=folder / "report.pdf")


def test_every_figure_mask_and_hash_is_on_its_pages(found: Reread, page: Path) -> None:
    take = found.record.take
    said = pdf_words(page)
    for words in (
        "T4-W31-0417",
        "T4-W31",
        "does not conform",
        "By: resonance.",
        "Small-signal parameters",
        "Impedance and model",
        "Left by the model",
        "The circuit behind them",
        "Budget of the level",
        "End of report",
        take.capture_sha256,
        take.id,
        found.record.revision.sha256,
        f"Dustcap {SOFTWARE_VERSION}",
        "added mass of 3.12 g",
    ):
        assert words in said, words
    # Each parameter with its interval, as the record has it.
    for name, symbol in {"fs_hz": "fs", "qts": "Qts", "bl_tm": "Bl", "mms_g": "Mms"}.items():
        number = take.numbers[name]
        assert number.uncertainty is not None
        assert symbol in said
        assert f"{number.value:.4g}"[:4] in said


def test_what_the_scale_rests_on_is_named_with_what_was_typed(found: Reread, heavy: Take) -> None:
    facts = dict(made(found.record))
    assert facts["added mass"] == "in take 1: 3.12 g, no uncertainty stated"
    assert dict(provenance(found))["added mass"] == f"in take {heavy.id}"


def test_an_excitation_is_told_part_by_part(found: Reread) -> None:
    parts = [TINY, {"kind": "tones", "hz": [60.0, 100.0], "dwell_s": 0.4}]
    series = {"kind": "series", "level_v_rms": 2.83, "parts": parts}
    take = dataclasses.replace(found.record.take, procedure=procedure(excitation=series).procedure)
    facts = dict(made(dataclasses.replace(found.record, take=take)))
    assert facts["excitation"] == (
        "series, 2.83 V rms: log sweep, 0.5 V rms, 20 Hz to 20 kHz, 0.25 s; "
        "then tones, 60 Hz, 100 Hz, 0.4 s each"
    )


def test_the_recording_still_gives_the_figures_or_it_is_told_which_not(
    found: Reread, store: Store
) -> None:
    assert found.holds
    assert found.standing.endswith("is the same bit for bit.")
    take = found.record.take
    number = dataclasses.replace(take.numbers["fs_hz"], value=take.numbers["fs_hz"].value + 1.0)
    changed = dataclasses.replace(
        take, id="ab" * 16, numbers={**take.numbers, "fs_hz": number}, verdict=Verdict.CONFORMS
    )
    store.keep(changed, capture=store.capture(take))
    again = read_again(store, changed.id)
    assert not again.holds
    assert "fs_hz" in again.standing
    assert "What is told here is as kept." in again.standing


def test_a_take_whose_recording_is_gone_still_tells_its_figures(
    store: Store, heavy: Take, folder: Path
) -> None:
    files = [f for f in folder.rglob("*") if heavy.capture_sha256 in f.name]
    assert files
    hidden = files[0].rename(files[0].with_name("hidden"))
    try:
        again = read_again(store, heavy.id)
    finally:
        hidden.rename(files[0])
    assert "could not be read again" in again.standing
    assert (again.holds, again.model) == (False, None)
    assert dict(provenance(again))["still so"] == again.standing
    table = list(parameter_blocks(again))
    assert any(
        isinstance(block, Row) and "fs" in {cell.text for cell in block.cells} for block in table
    )
    assert not any(isinstance(block, Picture) for block in table)


def test_a_calibration_is_told_with_its_value_and_what_it_is_traceable_to() -> None:
    record = make_calibration(make_capture())
    ((quantity, text),) = calibration_facts((record,))
    assert quantity == record.quantity
    for words in ("mV/Pa", "k = 2", "by N. N.", "K-2026-114", record.id[:8]):
        assert words in text


def test_the_command_writes_the_same_bytes_and_refuses_another_ending(
    found: Reread, folder: Path, page: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = str(folder / "records.sqlite")
    words = ["report", found.record.take.id[:10], "--store", place]
    assert main([*words, "--out", str(tmp_path / "page.pdf"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["id"], told["holds"]) == (found.record.take.id, True)
    assert Path(told["file"]).read_bytes() == page.read_bytes()
    assert main([*words, "--out", str(tmp_path / "page.docx")]) == 2
    assert "--out: no PDF: given page.docx" in capsys.readouterr().err
    assert main(["report", "0" * 32, "--store", place, "--out", "a.pdf"]) == 2
