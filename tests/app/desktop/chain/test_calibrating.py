"""A microphone calibrated in the real window with a pistonphone, by keys and clicks.

What is found is held against the rig's own truth: the pistonphone of the rig gives 124.04 dB, its
certificate says so, and the rig's microphone has the sensitivity that its chain states.
"""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.panels.chain import devices
from app.desktop.presenters import calibrate_rig
from app.desktop.presenters.calibrate_phase import Phase
from app.desktop.presenters.mark import Mark
from hardware.chain.load import load_chain
from tests.app.desktop.chain.seat import CHAIN, PATIENCE_MS, TRUE_MV_PER_PA, Seat

_CONTROL = Qt.KeyboardModifier.ControlModifier


def test_a_pistonphone_is_heard_by_itself_kept_and_undone(seat: Seat) -> None:
    assert seat.window.row.primary.text() == "Calibrate"
    seat.click(seat.window.row.primary)
    seat.reach(Phase.ACCEPTED)
    seat.type("level_db", "124.04")
    seat.click(seat.at.form_panel.papers)
    seat.type("certificate", "K-2026-114")
    seat.reach(Phase.ACCEPTED)
    found = seat.at.seen.value
    assert float(found.value) == pytest.approx(TRUE_MV_PER_PA, abs=0.1)
    assert found.interval.startswith("±")
    assert {one.name for one in found.checks} >= {"its frequency", "settled", "its level"}
    assert {one.mark for one in found.checks} == {Mark.GOOD}
    assert not seat.records  # nothing is written before Keep
    assert seat.file.read_text() == CHAIN
    seat.at.seen.trace.setFocus()
    seat.press(Qt.Key.Key_Return)
    seat.qtbot.waitUntil(lambda: not seat.bay.is_calibrating, timeout=PATIENCE_MS)
    seat.qtbot.waitUntil(lambda: "It stands in bench-3.toml" in seat.said, timeout=PATIENCE_MS)
    assert len(seat.records) == 1
    record = seat.records[0]
    assert record.accepted
    assert record.instrument.certificate == "K-2026-114"
    assert len(record.captures) == 1
    assert load_chain(seat.file) == seat.bench.chain
    assert "# by the last pistonphone" in seat.file.read_text()
    assert seat.bench.undo_stack.undoText() == "calibrate the microphone"
    assert seat.sensitivity != 0.0125
    seat.press(Qt.Key.Key_Z, _CONTROL)
    assert seat.sensitivity == 0.0125


def test_several_couplings_count(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    first = seat.at.follows.budget.facts[-1].value
    for count in (2, 3):
        seat.press(Qt.Key.Key_A)
        assert seat.at.phase is Phase.HEARING
        seat.reach(Phase.ACCEPTED)
        assert seat.at.couplings == count
    assert "3 couplings" in seat.said
    assert float(seat.at.follows.budget.facts[-1].value) <= float(first)
    seat.press(Qt.Key.Key_Return)
    seat.qtbot.waitUntil(lambda: len(seat.records) == 1, timeout=PATIENCE_MS)
    assert len(seat.records[0].captures) == 3


def test_a_leak_is_refused_kept_as_such_and_another_try_mends_it(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.put_on(calibrate_rig.LEAKS)
    seat.press(Qt.Key.Key_A)
    seat.reach(Phase.REFUSED)
    assert seat.said.startswith("Refused: ")
    assert "Nothing changed. Next: seat the coupler and press Again." in seat.said
    assert not seat.at._keep.isEnabled()
    seat.qtbot.waitUntil(lambda: len(seat.records) == 1, timeout=PATIENCE_MS)
    assert not seat.records[0].accepted
    assert seat.file.read_text() == CHAIN
    seat.press(Qt.Key.Key_Return)  # keeps nothing
    assert seat.at.phase is Phase.REFUSED
    seat.qtbot.waitUntil(lambda: bool(seat.at.seen.drift.scene.notes), timeout=PATIENCE_MS)
    seat.qtbot.waitUntil(lambda: "calibration refused" in seat.tile, timeout=PATIENCE_MS)
    seat.put_on(calibrate_rig.WELL)
    seat.press(Qt.Key.Key_A)
    seat.reach(Phase.ACCEPTED)
    assert seat.at.couplings == 1


def test_how_the_response_table_was_read_stands_in_the_record(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(devices, "_look", lambda: ())
    (tmp_path / "response.csv").write_text("Hz;dB\n100;0,1\n1000;0,0\n10000;-0,4\n")
    table = 'preamplifier_gain = 2.0\nresponse = "response.csv"'
    seat = Seat(qtbot, tmp_path, chain=CHAIN.replace("preamplifier_gain = 2.0", table))
    qtbot.addWidget(seat.window)
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.press(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(seat.records) == 1, timeout=PATIENCE_MS)
    said = [one for one in seat.records[0].remarks if one.startswith("response.csv: ")]
    assert any("known from 100 to 10000 Hz" in one for one in said)  # as the table says
    seat.window.close()


def test_what_is_put_on_while_the_last_time_is_looked_up_is_heard(seat: Seat) -> None:
    with seat.qtbot.waitSignal(seat.bench.coupled, timeout=PATIENCE_MS):
        seat.press(Qt.Key.Key_K)  # nothing has been looked up yet
        assert seat.at._form is None
        seat.put_on(calibrate_rig.LEAKS)
    seat.reach(Phase.REFUSED)


def test_another_level_than_named_is_refused_with_what_it_reads_as(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    nominal = seat.at.form_panel.nominal
    nominal.chosen.emit("pistonphone 114 250")
    seat.reach(Phase.REFUSED)
    assert "level reads as 124 dB where 114 dB was named" in seat.said
    nominal.chosen.emit("pistonphone 124 250")  # the same recording, looked at again
    seat.reach(Phase.ACCEPTED)


def test_esc_leaves_a_field_then_the_calibration_and_changes_nothing(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.at.form_panel.fields["serial"].box.setFocus()
    seat.press(Qt.Key.Key_Escape)
    assert seat.at.is_open
    seat.press(Qt.Key.Key_Escape)
    assert seat.at.phase.value == "closed"
    assert not seat.records
    assert seat.bench.undo_stack.count() == 0
    assert seat.file.read_text() == CHAIN
    assert not seat.window.actions_table.of("keep").isEnabled()  # Enter is the fields' again


def test_what_cannot_be_is_refused_beside_its_field(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.type("pressure_kpa", "1002")
    assert seat.at.phase is Phase.NOT_READY
    assert "allowed 50 to 110" in seat.at.form_panel.fields["pressure_kpa"].refusal
    assert "pressure outside" in seat.said
    seat.type("pressure_kpa", "100.2")
    seat.reach(Phase.ACCEPTED)


def test_a_note_and_coefficients_are_kept_and_an_exchanged_microphone_starts_anew(
    seat: Seat,
) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    first = seat.found
    seat.click(seat.at.form_panel.papers)
    seat.type("temperature_db_per_c", "0.02")  # the air is 23 °C, where nothing is added
    seat.type("temperature_c", "28")  # 5 K more: 0.1 dB more sound, 1.16 % less sensitivity
    seat.reach(Phase.ACCEPTED)
    assert seat.found == pytest.approx(first / 10 ** (0.1 / 20), rel=1e-4)
    seat.click(seat.at.form_panel.own)
    seat.type("note", "adaptor with a new ring")
    seat.reach(Phase.ACCEPTED)
    seat.click(seat.at.form_panel.new)
    seat.reach(Phase.ACCEPTED)
    asked = seat.at._read.asked
    assert asked is not None
    assert asked.exchanged
    seat.at.seen.trace.setFocus()
    seat.press(Qt.Key.Key_Return)
    seat.qtbot.waitUntil(lambda: len(seat.records) == 1, timeout=PATIENCE_MS)
    assert seat.records[0].note == "adaptor with a new ring"
    assert seat.records[0].given["temperature_db_per_c"] == 0.02
