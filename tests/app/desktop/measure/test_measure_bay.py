"""The Measure bay through takes: made, stopped, broken off, shown, compared, loud."""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox

from app.desktop.bench import Wired
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import PlotName
from app.desktop.run_state import RunState
from tests.app.desktop.engine_child import GONE
from tests.app.desktop.kept_engine import Engines
from tests.app.desktop.measure import made
from tests.app.desktop.measure.bay_on_bench import Desk, names


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

    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    shown: list[str] = []

    def look(_: RunState) -> None:
        # On a busy machine the moment is over when anybody else is asked.
        if shown or not level.scene.live:
            return
        shown.append(desk.bay.result.verdict.word)
        shown.extend(curve.line.name for curve in level.scene.live)
        assert desk.bay.ribbon.state.tiles[0].mark is Mark.BUSY
        assert desk.bay.result.numbers.facts[0].value != "–"
        assert desk.bay.words.progress is not None
        assert 0 < desk.bay.words.progress <= 1
        desk.bench.stop()

    desk.bench.run_changed.connect(look)
    with desk.qtbot.waitSignal(desk.bench.run_stopped, timeout=20_000):
        desk.bench.play()
    assert shown == ["Playing", "take 2"]
    assert level.scene.live == ()
    assert desk.bay.words.happened.startswith("Stopped at")
    assert desk.bench.store.count() == 1
    assert "take 1" in names(desk, PlotName.LEVEL)


def test_a_lost_card_leaves_the_last_take_and_offers_to_look_again(
    desk: Desk, engines: Engines
) -> None:
    desk.make_take()

    with (
        engines.suffering(GONE),
        desk.qtbot.waitSignal(desk.bench.run_failed, timeout=20_000),
    ):
        desk.bench.play()
    assert desk.bay.result.verdict.word == "No verdict"
    assert "take 1 is safe" in desk.bay.words.happened
    assert desk.bay.words.action == "look_again"
    assert "take 1" in names(desk, PlotName.LEVEL)
    desk.do("look_again")
    assert desk.bay.result.verdict.word == "Conforms"
    desk.make_take()
    assert desk.bay.words.happened.startswith("Take 2 is kept")


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


def test_the_reference_take_is_set_by_its_key_and_drawn_in_ink(desk: Desk) -> None:
    first = desk.make_take("T4-W31-0417")
    desk.do("set_reference")
    desk.settle()
    reference = desk.bench.store.reference("line check")
    assert reference is not None
    assert reference.id == first
    assert desk.bay.words.happened.startswith("Take 1 is the reference")
    desk.make_take("T4-W31-0418")
    assert "reference" in names(desk, PlotName.LEVEL)
    assert [tile.is_reference for tile in desk.bay.ribbon.state.tiles] == [False, True]


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
