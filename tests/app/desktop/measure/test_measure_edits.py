"""Edits at the left of the Measure bay: typed, chosen, dragged, refused, undone."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.desktop.bench import Wired
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import PlotName
from tests.app.desktop.measure import made
from tests.app.desktop.measure.bay_on_bench import Desk, field


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


@pytest.mark.parametrize(
    "kind", ["stepped_sine", "tones", "noise", "multitone", "two_tones", "series"]
)
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


def test_the_unit_is_named_at_the_left(desk: Desk) -> None:
    desk.type_into(desk.bay.set_up.specimen.serial, "T4-W31-0500")
    assert desk.bench.unit == "T4-W31-0500"
    # Enter hands the keyboard back, so that the space bar plays.
    assert desk.bay.plots.stack.plots[0].canvas.hasFocus()
    desk.type_into(desk.bay.set_up.specimen.serial, "")
    assert desk.bench.unit is None


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


def test_a_near_field_asks_for_the_area_it_stands_in_front_of(desk: Desk) -> None:
    gate = desk.bay.set_up.gate
    assert not gate.area.isVisible()
    gate.mounting_asked.emit("near_field")
    desk.settle()
    assert gate.area.isVisible()
    desk.type_into(gate.area, "-3")
    assert "allowed" in gate.area.refusal
    desk.type_into(gate.area, "85 cm²")
    geometry = desk.bench.procedure.procedure.geometry
    assert (geometry.mounting, geometry.radiator_cm2) == ("near_field", 85.0)
    assert desk.bench.undo_stack.undoText() == "set the radiating area to 85 cm²"
    assert gate.area.text() == "85"
    desk.bench.undo_stack.undo()
    desk.bench.undo_stack.undo()
    desk.settle()
    assert not gate.area.isVisible()


def test_another_gate_of_a_take_that_is_no_longer_shown_changes_nothing(seen: Desk) -> None:
    before = seen.bay.words
    seen.bay.again.gated.emit(made.gated())
    assert seen.bay.presenting.gated is None
    assert seen.bay.words == before
