"""The Measure bay under a person's hands, on the bench in software."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox

from app.desktop.bench import Wired
from app.desktop.controls.field import Field
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_plots import PlotName, View
from app.desktop.run_state import RunState
from dsp.conformity.read_at import read_at
from hardware.card import PlayRequest
from hardware.errors import CardLostError
from hardware.virtual.card import VirtualCard
from tests.app.desktop.measure import made
from tests.app.desktop.measure.bay_on_bench import Desk


def field(desk: Desk, name: str) -> Field:
    editor = desk.bay.set_up.excitation.editor(name)
    assert isinstance(editor, Field)
    return editor


def names(desk: Desk, plot: PlotName) -> list[str]:
    shown = desk.bay.plots.plot(plot)
    assert shown is not None
    return [line.name for line in shown.lines]


def test_before_any_take_every_place_says_what_will_stand_there(desk: Desk) -> None:
    assert desk.bay.result.verdict.word == "No take yet"
    assert desk.bay.words.action == "play"
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    assert level.masks
    assert level.scene.hint
    assert desk.bay.ribbon.tiles == ()


def test_a_take_comes_with_verdict_curves_numbers_and_a_tile(desk: Desk) -> None:
    take_id = desk.make_take()
    assert desk.bay.result.verdict.word == "Conforms"
    assert desk.bay.words.happened == "Take 1 is kept: T4-W31-0417 conforms."
    assert "take 1" in names(desk, PlotName.LEVEL)
    assert desk.bay.result.numbers.facts[0].name == "sensitivity"
    (tile,) = desk.bay.ribbon.tiles
    assert tile.tile is not None
    assert (tile.tile.take_id, tile.tile.slot) == (take_id, 0)
    # The figures are those of the record.
    take = desk.bench.store.take(take_id)
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    np.testing.assert_array_equal(level.lines[0].y, take.curves["level"].value)
    # What was predicted now stands on the unit's own sensitivity: 6 dB more at half a metre.
    ear = desk.bay.set_up.will_do.facts.facts[2].value
    heard = take.numbers["sensitivity_db"].value + 20 * np.log10(2)
    assert ear == f"{heard:.0f} dB"


def test_while_it_plays_curves_grow_and_the_last_numbers_stay_grey(desk: Desk) -> None:
    desk.make_take()
    desk.bench.edit_chain(Wired(snapshot=made.virtual(real_time=True), file=None), text="real time")

    def heard(run: RunState) -> bool:
        return run.played_s > 0.7 and bool(run.live)

    with desk.qtbot.waitSignal(desk.bench.run_changed, timeout=20_000, check_params_cb=heard):
        desk.bench.play()
    assert desk.bay.result.verdict.word == "Playing"
    assert desk.bay.ribbon.state.tiles[0].mark is Mark.BUSY
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    assert [curve.line.name for curve in level.scene.live] == ["take 2"]
    assert desk.bay.result.numbers.facts[0].value != "–"
    assert desk.bay.words.progress is not None
    assert 0 < desk.bay.words.progress < 1
    with desk.qtbot.waitSignal(desk.bench.run_stopped, timeout=5_000):
        desk.bench.stop()
    assert level.scene.live == ()
    assert desk.bay.words.happened.startswith("Stopped at")
    assert desk.bench.store.count() == 1
    assert "take 1" in names(desk, PlotName.LEVEL)


def test_a_lost_card_leaves_the_last_take_and_offers_to_look_again(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.make_take()

    def lost(self: VirtualCard, request: PlayRequest, **_: object) -> None:  # noqa: ARG001
        raise CardLostError("Bench card: the audio process stopped answering")

    with monkeypatch.context() as patch:
        patch.setattr(VirtualCard, "play", lost)
        with desk.qtbot.waitSignal(desk.bench.run_failed, timeout=20_000):
            desk.bench.play()
    assert desk.bay.result.verdict.word == "No verdict"
    assert "take 1 is safe" in desk.bay.words.happened
    assert desk.bay.words.action == "look_again"
    assert "take 1" in names(desk, PlotName.LEVEL)
    desk.do("look_again")
    assert desk.bay.result.verdict.word == "Conforms"
    desk.make_take()
    assert desk.bay.words.happened.startswith("Take 2 is kept")


def test_a_level_is_set_by_typing_and_the_edit_can_be_undone(desk: Desk) -> None:
    desk.type_into(field(desk, "level"), "1,5")
    excitation = desk.bench.procedure.procedure.excitation
    assert excitation.level_v_rms == 1.5
    assert desk.bay.set_up.will_do.facts.facts[0].value.startswith("2.1 of")  # √2 × 1.5 V
    desk.bench.undo_stack.undo()
    desk.settle()
    assert desk.bench.procedure.procedure.excitation.level_v_rms == 2.83
    assert field(desk, "level").text() == "2.83"


def test_a_refused_value_stays_beside_its_field_and_changes_nothing(desk: Desk) -> None:
    before = desk.bench.procedure
    desk.type_into(field(desk, "level"), "loud")
    assert field(desk, "level").text() == "loud"
    assert "not a number" in field(desk, "level").refusal
    assert desk.bench.procedure is before
    assert field(desk, "level").box.hasFocus()
    desk.type_into(field(desk, "level"), "2")
    assert not field(desk, "level").is_refused


def test_esc_brings_back_what_stood_in_a_field(desk: Desk) -> None:
    before = desk.bench.procedure
    for name in ("level", "span"):
        box = field(desk, name).box
        desk.come_to_front()
        box.setFocus()
        text = box.text()
        QTest.keyClicks(box, "9")
        QTest.keyClick(box, Qt.Key.Key_Escape)
        desk.settle()
        assert box.text() == text
        assert not box.hasFocus()
    desk.type_into(desk.bay.set_up.gate.gate, "0.1")
    QTest.keyClick(desk.bay.set_up.gate.gate.box, Qt.Key.Key_Escape)
    desk.settle()
    assert desk.bay.set_up.gate.gate.text() == ""
    assert not desk.bay.set_up.gate.gate.is_refused
    assert desk.bench.procedure is before


def test_what_the_chain_must_not_play_is_refused_beside_its_field(desk: Desk) -> None:
    desk.type_into(field(desk, "level"), "50")
    assert "too high for this chain" in field(desk, "level").refusal
    assert desk.bay.set_up.will_do.cautions.said[0].mark is Mark.BAD
    desk.bench.undo_stack.undo()
    desk.settle()
    assert not field(desk, "level").is_refused


def test_watts_and_volts_say_the_same_level(desk: Desk) -> None:
    desk.bay.set_up.excitation.level_unit_asked.emit("W")
    desk.settle()
    # 2.83 V into 8 ohm.
    assert desk.bench.procedure.procedure.excitation.level_w == pytest.approx(2.83**2 / 8, rel=1e-5)
    desk.bench.undo_stack.undo()
    assert desk.bench.procedure.procedure.excitation.level_v_rms == 2.83


@pytest.mark.parametrize("kind", ["stepped_sine", "tones", "noise", "multitone", "series"])
def test_every_kind_has_its_card_and_says_what_it_will_do(desk: Desk, kind: str) -> None:
    desk.type_into(field(desk, "level"), "1")  # noise peaks four times as high
    desk.bay.set_up.excitation.kind_asked.emit(kind)
    desk.settle()
    assert desk.bench.procedure.procedure.excitation.kind == kind
    card = desk.bay.set_up.excitation.card
    assert card is not None
    assert desk.bay.set_up.will_do.facts.facts
    assert any(desk.bay.set_up.will_do.spectrum.heights)


def test_parts_of_a_series_are_added_edited_and_removed(desk: Desk) -> None:
    card = desk.bay.set_up.excitation
    card.kind_asked.emit("series")
    desk.settle()
    card.part_added.emit()
    desk.settle()
    card.kind_asked.emit("tones")
    desk.settle()
    assert [one.kind for one in desk.bench.procedure.procedure.excitation.parts] == [  # type: ignore[union-attr]  # a series by now
        "log_sweep",
        "tones",
    ]
    card.part_removed.emit()
    desk.settle()
    assert len(desk.bench.procedure.procedure.excitation.parts) == 1  # type: ignore[union-attr]  # still one


def test_a_digit_lays_a_take_over_and_x_shows_the_difference(desk: Desk) -> None:
    desk.make_take("T4-W31-0417")
    desk.make_take("T4-W31-0418")
    desk.do("overlay.1")
    desk.settle()
    assert names(desk, PlotName.LEVEL)[:3] == ["take 2", "phase", "1"]
    desk.do("difference")
    assert names(desk, PlotName.LEVEL) == ["2 − 1"]
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    np.testing.assert_allclose(level.lines[0].y, 0.0, atol=0.2)  # the same unit, twice
    desk.do("difference")
    desk.do("overlay.1")
    assert "1" not in names(desk, PlotName.LEVEL)


def test_a_click_on_a_tile_shows_its_take(desk: Desk) -> None:
    first = desk.make_take("T4-W31-0417")
    desk.make_take("T4-W31-0418")
    QTest.mouseClick(desk.bay.ribbon.tiles[1], Qt.MouseButton.LeftButton)
    desk.settle()
    assert desk.bay.takes.chosen is not None
    assert desk.bay.takes.chosen.take.id == first
    assert desk.bay.words.happened.startswith("Take 1 is shown")
    QTest.mouseClick(
        desk.bay.ribbon.tiles[0],
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ControlModifier,
    )
    desk.settle()
    assert [one.number for one in desk.bay.takes.shown] == [1, 2]


def test_a_chosen_mask_puts_the_cursor_where_its_margin_is_smallest(seen: Desk) -> None:
    take = seen.bench.store.take(seen.bench.store.find(limit=1)[0].id)
    table = seen.bay.result.mask_table
    row = [row.key for row in table.rows].index("impedance")
    at = table.visualRect(table.model().index(row, 0)).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=at)
    hz = take.masks["impedance"].nearest_hz
    for plot in seen.bay.plots.stack.plots:
        assert plot.cursor_hz == hz


def test_the_reference_take_is_set_by_its_key_and_drawn_in_ink(desk: Desk) -> None:
    first = desk.make_take("T4-W31-0417")
    desk.do("set_reference")
    desk.settle()
    reference = desk.bench.store.reference("line check")
    assert reference is not None
    assert reference.id == first
    desk.make_take("T4-W31-0418")
    assert "reference" in names(desk, PlotName.LEVEL)
    assert [tile.is_reference for tile in desk.bay.ribbon.state.tiles] == [False, True]


def test_a_dragged_gate_derives_again_and_is_one_edit(desk: Desk) -> None:
    desk.bench.edit_chain(
        Wired(snapshot=made.virtual(reflection=0.5, reflection_delay_s=0.0052), file=None),
        text="a room",
    )
    take_id = desk.make_take()
    canvas = desk.bay.set_up.gate.plot.canvas
    frame = canvas.frame()
    edits = desk.bench.undo_stack.index()
    middle = round(frame.top + frame.height / 2)
    start = QPoint(round(frame.px_of(12.0)), middle)
    desk.drag(canvas, start=start, end=QPoint(round(frame.px_of(4.8)), middle))
    gate_ms = desk.bench.procedure.procedure.geometry.gate_ms
    assert gate_ms is not None
    assert gate_ms == pytest.approx(4.8, abs=0.1)
    assert desk.bench.undo_stack.index() == edits + 1
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    assert level.lines[0].valid is not None
    assert level.lines[0].valid[0] == pytest.approx(2 / (gate_ms * 1e-3), rel=1e-6)
    assert "nothing" not in desk.bay.words.next
    assert desk.bay.words.action == "derive_again"
    assert desk.bench.store.count() == 1
    # Undone, the take is seen through its own gate again.
    desk.bench.undo_stack.undo()
    desk.settle()
    assert level.lines[0].reason == "excitation"
    assert desk.bay.words.action == "play"
    desk.bench.undo_stack.redo()
    desk.settle()
    assert desk.bay.words.action == "derive_again"
    # The stored take is as it was; D keeps what is seen as a take of its own.
    assert desk.bench.store.take(take_id).procedure.geometry.gate_ms is None
    desk.do("derive_again")
    desk.settle()
    assert desk.bench.store.count() == 2
    assert desk.bay.takes.chosen is not None
    kept = desk.bay.takes.chosen.take
    assert kept.derived_from == take_id
    assert kept.procedure.geometry.gate_ms == gate_ms


def test_a_typed_gate_is_held_to_what_is_allowed(desk: Desk) -> None:
    desk.type_into(desk.bay.set_up.gate.gate, "0.1")
    assert "allowed" in desk.bay.set_up.gate.gate.refusal
    desk.type_into(desk.bay.set_up.gate.gate, "4.8")
    assert desk.bench.procedure.procedure.geometry.gate_ms == 4.8
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    assert level.scene.validity.low == pytest.approx(2 / 4.8e-3)
    assert level.scene.validity.planned


def test_a_stale_microphone_is_marked_and_sends_to_its_link(desk: Desk) -> None:
    stale = made.stale().take.chain
    desk.bench.edit_chain(Wired(snapshot=stale, file=None), text="an old microphone")
    desk.make_take()
    assert desk.bay.result.verdict.detail == "until the microphone is proved"
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    assert level.head.mark is Mark.STALE
    assert desk.bay.result.numbers.facts[0].mark is Mark.STALE
    with desk.qtbot.waitSignal(desk.bay.open_bay, timeout=1_000) as asked:
        desk.do("to_link")
    assert asked.args == ["chain", "microphone"]


def test_a_take_heard_by_a_stale_microphone_is_decided_once_that_is_proved(desk: Desk) -> None:
    desk.bench.edit_chain(Wired(snapshot=made.stale().take.chain, file=None), text="old")
    desk.make_take()
    assert desk.bay.result.verdict.word == "Not decided"
    desk.bench.undo_stack.undo()  # the same chain with its microphone in term
    desk.do("derive_again")
    desk.settle()
    assert desk.bay.result.verdict.word == "Conforms"


def test_v_goes_through_the_views_and_the_cursor_stays(seen: Desk) -> None:
    seen.bay.plots.set_cursor(1000.0)
    views = []
    for _ in View:
        seen.do("other_view")
        views.append(seen.bay.plots.view)
        assert seen.bay.plots.stack.cursor_hz == 1000.0
    assert views == [View.TOGETHER, View.DISTORTION, View.OVER_LEVEL, View.TIME, View.APART]


def test_iec_proportions_are_a_level_s_alone(seen: Desk) -> None:
    level, distortion = (
        seen.bay.plots.plot(name) for name in (PlotName.LEVEL, PlotName.DISTORTION)
    )
    assert level is not None
    assert distortion is not None
    kept = []
    for _ in range(3):
        seen.do("proportions")
        kept.append((level.scene.db_per_decade, distortion.scene.db_per_decade))
    # IEC 60263:2020: a decade as long as 50 dB, or as 25 dB.
    assert kept == [(50.0, None), (25.0, None), (None, None)]
    seen.do("proportions")
    frame = level.canvas.frame()
    decade_px = frame.width / frame.x.length
    assert decade_px == pytest.approx(50.0 * frame.height / frame.y.length)
    seen.do("proportions")
    seen.do("proportions")


def test_distortion_is_shown_over_the_drive_once_there_are_two(desk: Desk) -> None:
    desk.bay.plots.set_view(View.OVER_LEVEL)
    for level in ("2", "4"):
        desk.type_into(field(desk, "level"), level)
        assert desk.bay.plots.over_level.scene.hint
        desk.make_take()
    desk.bay.plots.cursor_moved.emit(100.0)
    plot = desk.bay.plots.over_level
    assert plot.title == "Distortion at 100 Hz"
    assert plot.lines[0].x.tolist() == [2.0, 4.0]
    newest = desk.bench.store.take(desk.bench.store.find(limit=1)[0].id)
    at = read_at(newest.curves["h2"], frequency_hz=np.array([100.0]))
    assert plot.lines[1].y[-1] == at.value[0]
    assert "Drive, V" in desk.bay.plots.table()


def test_curves_are_shown_and_copied_as_a_table(seen: Desk) -> None:
    tables = []
    for _ in range(2):
        seen.do("table")
        tables.append(seen.bay.plots.shows_table)
    assert tables == [True, False]
    seen.do("copy")
    text = QGuiApplication.clipboard().text()
    assert text.startswith("Frequency, Hz\tLevel, take 1")
    seen.bay.plots.set_cursor(1000.0)
    canvas = seen.bay.plots.stack.plots[0].canvas
    seen.come_to_front()
    canvas.setFocus()
    QTest.keyClick(canvas, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().startswith("Level at 1 kHz: take 1")
    seen.do("copy_picture")
    assert not QGuiApplication.clipboard().image().isNull()


@pytest.mark.parametrize(
    ("name", "begins"), [("a.png", b"\x89PNG"), ("a.svg", b"<?xml"), ("a.csv", b'"Frequency, Hz"')]
)
def test_what_is_shown_is_written_to_a_file(
    seen: Desk, tmp_path: Path, name: str, begins: bytes
) -> None:
    seen.bay.view_actions.export_to(tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(begins)
    assert name in seen.bay.words.happened


def test_a_place_that_cannot_be_written_is_told(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "a.png").mkdir()  # a folder stands where the file should
    desk.bay.view_actions.export_to(tmp_path / "a.png")
    assert "cannot be written" in desk.bay.words.happened


def test_before_something_loud_plays_for_the_first_time_a_person_is_asked(desk: Desk) -> None:
    app = QApplication.instance()
    assert app is not None
    app.setProperty("dustcap hearing told", None)
    desk.do("play")
    asked = desk.bay.findChild(QMessageBox)
    assert asked is not None
    assert "85 dB" in asked.text()
    assert not desk.bench.run.is_active
    asked.reject()
    assert not desk.bench.run.is_active
    desk.do("play")
    again = [box for box in desk.bay.findChildren(QMessageBox) if box.isVisible()]
    with desk.qtbot.waitSignal(desk.bench.take_kept, timeout=20_000):
        again[0].buttons()[0].click()
    desk.settle()
    with desk.qtbot.waitSignal(desk.bench.take_kept, timeout=20_000):
        desk.do("play")  # once a session is enough


def test_another_bay_can_have_a_stored_take_shown(desk: Desk) -> None:
    first = desk.make_take()
    desk.make_take("T4-W31-0418")
    desk.bay.show_there(first)
    desk.settle()
    assert desk.bay.takes.chosen is not None
    assert desk.bay.takes.chosen.take.id == first
    desk.bay.show_there("unit")
    assert desk.bay.set_up.specimen.serial.box.hasFocus()


def test_a_take_that_is_not_there_is_told_and_nothing_changes(desk: Desk) -> None:
    desk.bay.show_there("0" * 32)
    desk.settle()
    assert desk.bay.words.happened.startswith("Not done")
    assert desk.bay.takes.chosen is None


def test_the_unit_is_named_at_the_left(desk: Desk) -> None:
    desk.type_into(desk.bay.set_up.specimen.serial, "T4-W31-0500")
    assert desk.bench.unit == "T4-W31-0500"
    # Enter hands the keyboard back, so that the space bar plays.
    assert desk.bay.plots.stack.plots[0].canvas.hasFocus()
    desk.type_into(desk.bay.set_up.specimen.serial, "")
    assert desk.bench.unit is None


@pytest.mark.parametrize("height", [576, 636, 916])
def test_nothing_scrolls_at_any_height_that_is_promised(seen: Desk, height: int) -> None:
    seen.window.resize(1280, height)
    seen.settle()
    for column in (seen.bay.set_up, seen.bay.result.column):
        assert column.wanted() <= column.height()


def test_a_procedure_of_its_own_kind_leaves_no_old_fields(desk: Desk) -> None:
    procedure = desk.bench.procedure
    desk.bay.set_up.excitation.kind_asked.emit("noise")
    desk.settle()
    desk.bench.undo_stack.undo()
    desk.settle()
    assert desk.bench.procedure is procedure
    card = desk.bay.set_up.excitation.card
    assert card is not None
    assert [one.id for one in card.fields] == ["span", "level", "time", "repeat"]
    assert replace(card).kind == "log_sweep"
