"""Calibrations in Records: found by link, day and instrument, opened, printed, left again."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from app.desktop.presenters.mark import Mark
from app.records.calibration_record import CalibrationRecord, UsedInstrument
from tests.app.desktop.records.open_bay import Open
from tests.app.records.made_calibrations import LEAK, PASSED, make_calibration, make_result

FIRST = datetime(2026, 5, 4, 9, 15, tzinfo=UTC)


@pytest.fixture
def kept(line: Open, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[CalibrationRecord]:
    """Keep three of the microphone, the second refused, and one of the output."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    volts = make_result(value=2.0, quantity="output.drive.full_scale_v")
    volts = replace(volts, unit="V", budget=replace(volts.budget, unit="%"))
    meter = UsedInstrument(name="voltmeter", serial="V-7", certificate="E-2026-31")
    made = [
        make_calibration(seed=1, made_utc=FIRST),
        make_calibration(
            seed=2,
            made_utc=FIRST + timedelta(days=30),
            results=(make_result(checks=(PASSED, LEAK)),),
        ),
        make_calibration(seed=3, made_utc=FIRST + timedelta(days=31)),
        make_calibration(
            seed=4,
            made_utc=FIRST + timedelta(days=60),
            link="output.drive",
            results=(volts,),
            instrument=meter,
        ),
    ]
    given = {"kind": "pistonphone"}
    made = [replace(one, captures=(), given=given) for one in made]
    for one in made:
        line.bench.store.keep_calibration(one, captures=())
    line.window.activateWindow()
    line.bay.setFocus()
    line.act("calibrations")
    return made


def listed(line: Open) -> list[str]:
    return [row.key for row in line.bay.calibrations.page.table.rows]


def type_in(line: Open, text: str) -> None:
    box = line.bay.calibrations.page.field.box
    box.selectAll()
    line.qtbot.keyClick(box, Qt.Key.Key_Delete)
    line.qtbot.keyClicks(box, text)


def test_they_are_found_by_link_day_and_instrument(
    line: Open, kept: list[CalibrationRecord]
) -> None:
    old, refused, new, volts = (one.id for one in kept)
    page = line.bay.calibrations.page
    assert page.isVisible()
    assert listed(line) == [volts, new, refused, old]
    assert "4 calibrations" in line.bay.words.happened
    for text, found in (
        ("2026-06", [new, refused]),
        ("voltmeter", [volts]),
        ("v-7", [volts]),
        ("K-2026-114 refused", [refused]),
        ("microphone 2026-05", [old]),
        ("nobody", []),
    ):
        type_in(line, text)
        assert listed(line) == found, text
    type_in(line, "")
    page.links.filtered.emit("Output")
    assert listed(line) == [volts]
    assert page.state is not None
    assert {row.name: row.count for row in page.state.links} == {"Microphone": "3", "Output": "1"}
    page.links.filtered.emit("")
    page.standings.filtered.emit("refused")
    assert listed(line) == [refused]


def test_the_chosen_one_is_opened_beside_and_printed(
    line: Open, kept: list[CalibrationRecord], tmp_path: Path
) -> None:
    page = line.bay.calibrations.page
    assert page.looked.verdict.detail.startswith("full scale 2.000")  # the newest at first
    page.table.setFocus()
    line.key(Qt.Key.Key_Down, on=page.table)
    line.key(Qt.Key.Key_Down, on=page.table)
    assert page.table.key == kept[1].id
    assert page.looked.verdict.word == "Refused"
    assert page.looked.checks.checks[0].mark is Mark.BAD
    assert dict(page.facts.lines.lines)["With"] == "pistonphone, class 1, No. P-19"
    assert page.facts.note.text() == kept[1].note
    line.act("certificate")
    line.qtbot.waitUntil(lambda: "Certificate: " in line.bay.words.happened, timeout=30_000)
    file = tmp_path / "certificates" / f"calibration-{kept[1].id[:8]}.pdf"
    assert str(file) in line.bay.words.happened
    assert file.read_bytes().startswith(b"%PDF")


def test_esc_goes_back_to_the_takes_whose_keys_rested_meanwhile(
    line: Open, kept: list[CalibrationRecord]
) -> None:
    assert kept
    assert not line.bay.actions_table.of("export").isEnabled()
    assert line.bay.leave_inside()  # what Esc does in the window
    assert not line.bay.calibrations.page.isVisible()
    assert line.bay.table.isVisible()
    assert line.bay.actions_table.of("export").isEnabled()
    assert not line.bay.leave_inside()


def test_a_store_without_any_says_where_they_come_from(line: Open) -> None:
    line.act("calibrations")
    assert line.bay.words.happened == "No calibration is kept yet."
    assert "in Chain" in line.bay.words.next
    assert line.bay.calibrations.page.looked.verdict.word == "No calibration is chosen"
    line.act("calibrations")
    assert line.bay.table.isVisible()
