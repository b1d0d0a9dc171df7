"""Kept calibrations in the Chain bay: listed, drawn, opened and printed by keys and clicks."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.panels.chain import devices
from app.desktop.presenters.mark import Mark
from app.records.calibration_record import CalibrationRecord
from app.records.store import Store
from hardware.chain.load import load_chain
from tests.app.desktop.chain.seat import CHAIN, PATIENCE_MS, Seat
from tests.app.desktop.presenters.test_kept import made

VALUES = (0.0125, 0.01251, 0.0125, 0.01249, 0.0125)
REFUSED = 5  # the number of the one with a leak


def keep(folder: Path) -> list[CalibrationRecord]:
    """Put five accepted ones and a refused one into the store of a seat."""
    file = folder / "bench-3.toml"
    file.write_text(CHAIN, encoding="utf-8")
    chain = load_chain(file)
    records = []
    with Store.open(folder / "records.sqlite") as store:
        for number, value in enumerate((*VALUES, 0.0115)):
            record = made(number, value, refused=number == REFUSED)
            record = replace(
                record,
                chain=chain,
                captures=(),
                given={**record.given, "kind": "pistonphone", "accuracy_class": "1"},
                holds_while={"input.pressure.sensitivity_v_per_pa": value},
            )
            store.keep_calibration(record, captures=())
            records.append(record)
    return records


@pytest.fixture
def kept_seat(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[Seat, list[CalibrationRecord]]]:
    monkeypatch.setattr(devices, "_look", lambda: ())
    records = keep(tmp_path)
    seat = Seat(qtbot, tmp_path)
    qtbot.addWidget(seat.window)
    table = seat.bay.history.table
    qtbot.waitUntil(lambda: len(table.rows) == len(records) + 1, timeout=PATIENCE_MS)
    yield seat, records
    seat.window.close()


def test_every_kept_one_is_listed_the_newest_first(
    kept_seat: tuple[Seat, list[CalibrationRecord]],
) -> None:
    seat, records = kept_seat
    rows = seat.bay.history.table.rows
    assert [row.key for row in rows[:6]] == [one.id for one in reversed(records)]
    assert rows[-1].cells[5] == "typed, no record"  # the day that stands in the chain's file
    refused = rows[0]
    assert (refused.mark, refused.cells[1]) == (Mark.BAD, "refused")
    assert refused.cells[3] == "\N{MINUS SIGN}0.72 dB"  # 20 log10(11.5 / 12.5), by hand
    assert rows[1].cells[1] == "in force"  # the newest with the value of the chain
    assert rows[1].cells[4:] == ("N. N.", "pistonphone, class 1", "K-2026-114")
    drawn = seat.bay.history.drift.scene
    assert len(drawn.notes) == 1
    assert drawn.limits is not None
    assert drawn.limits.words == ""  # four before the last are too few for control limits


def test_one_is_opened_printed_and_left(
    kept_seat: tuple[Seat, list[CalibrationRecord]],
) -> None:
    seat, records = kept_seat
    table = seat.bay.history.table
    table.setFocus()
    seat.press(Qt.Key.Key_Down)
    seat.press(Qt.Key.Key_Up)
    assert table.key == records[REFUSED].id
    seat.press(Qt.Key.Key_Return)
    opened = seat.bay.keeping.opened
    assert opened.is_open
    assert opened.looked.verdict.word == "Refused"
    assert "Refused" in opened.looked.verdict.accessibleName()
    assert opened.looked.checks.checks[0].sentence.endswith("a leak.")
    assert dict(opened.facts.lines.lines)["Done by"] == "N. N."
    assert opened.facts.note.text() == records[REFUSED].note
    assert [fact.name for fact in opened.follows.budget.facts][-1] == "together"
    seat.press(Qt.Key.Key_P)
    seat.qtbot.waitUntil(lambda: "Certificate: " in seat.said, timeout=PATIENCE_MS)
    page = seat.file.parent / "certificates" / f"calibration-{records[REFUSED].id[:8]}.pdf"
    assert str(page) in seat.said
    assert page.read_bytes().startswith(b"%PDF")
    seat.press(Qt.Key.Key_Escape)
    assert not seat.bay.keeping.is_open
    assert seat.bay.history.isVisible()
    seat.press(Qt.Key.Key_K)  # and the letters act again
    seat.qtbot.waitUntil(lambda: seat.bay.is_calibrating, timeout=PATIENCE_MS)


def test_what_was_typed_has_no_record_to_open_or_print(
    kept_seat: tuple[Seat, list[CalibrationRecord]],
) -> None:
    seat, _ = kept_seat
    table = seat.bay.history.table
    table.setFocus()
    for _ in table.rows:
        seat.press(Qt.Key.Key_Down)
    assert table.rows[-1].key == table.key
    assert not seat.bay.actions_table.of("certificate").isEnabled()
    seat.press(Qt.Key.Key_Return)
    assert not seat.bay.keeping.is_open
