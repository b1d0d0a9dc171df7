"""The Chain bay by mouse and keyboard: what is typed, wired, chosen, undone and saved."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import EVERYWHERE, Actions, held_in
from app.desktop.bays.chain import ChainBay
from app.desktop.bench import Bench, Wired
from app.desktop.panels.chain import devices
from app.desktop.plots.trend_canvas import TrendCanvas
from app.desktop.presenters.mark import Mark
from app.procedure.shipped import find_procedure
from app.records.store import Store
from hardware.chain.load import load_chain
from hardware.chain.schema import Chain, InputLink
from hardware.soundcard.messages import DeviceInfo

DEMO = Path("demo_data")
CARDS = (
    DeviceInfo(
        index=0,
        name="Bench card A",
        host_api="ALSA",
        max_input_channels=4,
        max_output_channels=2,
        default_sample_rate_hz=48_000.0,
        is_default=True,
        portaudio="made up",
    ),
)


class Window(QWidget):
    """As much of the window as the bay needs."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.file = folder / "bench.toml"
        self.file.write_text((DEMO / "bench-1-stale.toml").read_text())
        self.bench = Bench(
            store=Store.open(folder / "records.sqlite"),
            chain=Wired(snapshot=load_chain(self.file), file=self.file),
            procedure=find_procedure("line-check"),
        )
        shared = Actions(self, specs=EVERYWHERE)
        self.actions_table = Actions(self, specs=held_in("chain"), shared=shared)
        self.bay = ChainBay(self.bench, self.actions_table, self)
        self.bay.resize(1280, 636)
        self.resize(1280, 636)

    @property
    def chain(self) -> Chain:
        return self.bench.chain.chain

    def sensitivity(self) -> float:
        assert self.chain.input.pressure is not None
        return self.chain.input.pressure.sensitivity_v_per_pa

    def input(self, name: str) -> InputLink | None:
        return self.chain.input.wired.get(name)


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Window]:
    monkeypatch.setattr(devices, "_look", lambda: CARDS)
    made = Window(tmp_path)
    qtbot.addWidget(made)
    made.show()
    with qtbot.waitSignal(made.bay.devices.changed, timeout=20_000):
        made.bay.entered()
    qtbot.waitUntil(lambda: made.bay.devices.found is not None, timeout=20_000)
    yield made
    made.bench.close()


def type_in(qtbot: QtBot, window: Window, key: str, text: str) -> None:
    box = window.bay.link_panel.fields[key].editor.box
    box.setFocus()
    box.selectAll()
    qtbot.keyClick(box, Qt.Key.Key_Delete)
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Return)


def test_a_typed_value_is_taken_and_can_be_undone(qtbot: QtBot, window: Window) -> None:
    key = "input.pressure.sensitivity_v_per_pa"
    type_in(qtbot, window, key, "12,61")
    assert window.chain.input.pressure is not None
    assert window.chain.input.pressure.sensitivity_v_per_pa == 0.01261
    assert window.bay.words.happened == "The chain differs from its file."
    assert window.bench.undo_stack.undoText() == "microphone: sensitivity"
    window.bench.undo_stack.undo()
    assert window.chain.input.pressure.sensitivity_v_per_pa == 0.0125
    assert window.bay.link_panel.fields[key].editor.text() == "12.5"


def test_letters_act_at_once_when_the_bay_is_entered(window: Window) -> None:
    assert isinstance(window.focusWidget(), TrendCanvas)


def test_a_wrong_value_is_refused_beside_its_field_and_changes_nothing(
    qtbot: QtBot, window: Window
) -> None:
    before = window.chain
    key = "input.pressure.sensitivity_v_per_pa"
    type_in(qtbot, window, key, "-3")
    field = window.bay.link_panel.fields[key].editor
    assert field.text() == "-3"
    assert field.refusal == "not positive: given -0.003, allowed above 0"
    assert window.chain is before
    type_in(qtbot, window, key, "12.6")
    assert field.refusal == ""


def test_a_term_without_a_day_names_the_day(qtbot: QtBot, window: Window) -> None:
    type_in(qtbot, window, "input.pressure.calibrated_on", "")
    field = window.bay.link_panel.fields["input.pressure.calibrated_on"].editor
    assert field.refusal.startswith("missing: allowed a date")


def test_a_tile_s_link_is_shown_with_its_standing(window: Window) -> None:
    window.bay.show_there("sense")
    assert window.bay.link_panel.head.title == "Sense resistor"
    assert "Stale" in window.bay.link_panel.standing.text()
    assert window.bay.shown_link == "sense"
    assert window.bay.words.mark is Mark.STALE


def test_an_input_is_wired_by_keyboard_once_all_is_typed_that_it_needs(
    qtbot: QtBot, window: Window
) -> None:
    wiring = window.bay.set_up.wiring
    wiring.rows["loopback"].setFocus()
    qtbot.keyClick(wiring.rows["loopback"], Qt.Key.Key_Space)
    assert wiring.channels.isVisible()
    for _ in range(wiring.channels.count()):
        qtbot.keyClick(wiring.channels, Qt.Key.Key_Up)
    for _ in range(3):
        qtbot.keyClick(wiring.channels, Qt.Key.Key_Down)
    qtbot.keyClick(wiring.channels, Qt.Key.Key_Return)
    assert window.input("loopback") is None
    assert window.bay.words.happened == "The loopback input is begun."
    type_in(qtbot, window, "input.loopback.full_scale_v", "20")
    loop = window.input("loopback")
    assert loop is not None
    assert loop.channel == 4
    assert wiring.rows["loopback"].row.text == "in 4"
    window.bench.undo_stack.undo()
    assert window.input("loopback") is None


def test_a_second_microphone_is_wired_heard_unwired_and_each_step_undone(
    qtbot: QtBot, window: Window
) -> None:
    bay, stack = window.bay, window.bench.undo_stack
    bay.edits.wire("ambient", 4)
    assert bay.words.happened == "The second microphone’s input is begun."
    assert window.input("ambient") is None
    type_in(qtbot, window, "input.ambient.full_scale_v", "2")
    wired = window.input("ambient")
    assert wired is not None
    assert (wired.channel, wired.full_scale_v) == (4, 2.0)
    assert bay.set_up.wiring.rows["ambient"].row.text == "in 4"
    window.bench.idle_levels.emit((-76.0, -110.0, -110.0, -60.0))
    assert [fact.name for fact in bay.link_panel.facts.facts] == ["hears now", "microphone hears"]
    assert not bay.history.drift.isVisible()
    type_in(qtbot, window, "input.ambient.sensitivity_v_per_pa", "20")
    assert stack.undoText() == "second microphone: sensitivity"
    bay.edits.wire("ambient", 3)  # taken: refused, nothing changes
    assert bay.words.mark is Mark.BAD
    bay.edits.wire("ambient", 0)
    assert window.input("ambient") is None
    stack.undo()
    assert window.input("ambient") is not None
    while stack.canUndo():
        stack.undo()
    assert window.input("ambient") is None
    assert bay.set_up.wiring.rows["ambient"].row.text == "not wired"


def test_a_channel_that_is_taken_is_refused_in_words(window: Window) -> None:
    window.bay.edits.wire("sense", 1)
    assert window.bay.words.mark is Mark.BAD
    assert "already taken by input.pressure" in window.bay.words.happened
    assert window.chain.input.sense is not None
    assert window.chain.input.sense.channel == 2


def test_the_last_thing_to_measure_with_stays_wired(window: Window) -> None:
    window.bay.edits.wire("sense", 0)
    assert window.chain.input.sense is None
    window.bay.edits.wire("pressure", 0)
    assert window.chain.input.pressure is not None
    assert "nothing to measure with" in window.bay.words.happened


def test_channels_show_what_they_hear_while_the_list_is_open(qtbot: QtBot, window: Window) -> None:
    wiring = window.bay.set_up.wiring
    qtbot.mouseClick(wiring.rows["sense"], Qt.MouseButton.LeftButton)
    window.bench.idle_levels.emit((-76.0, -110.0, -110.0, -33.0))
    assert "−33 dBFS" in wiring.channels.item(3).text()
    assert "hears now" in [fact.name for fact in window.bay.link_panel.facts.facts]


def test_another_card_takes_the_rig_s_place_and_the_rig_comes_back_as_it_was(
    window: Window,
) -> None:
    rig = window.chain.virtual
    card = window.bay.set_up.card
    card.card_chosen.emit("card:Bench card A")
    assert window.chain.device.name == "Bench card A"
    assert card.head.fact == "2 out, 4 in"
    card.card_chosen.emit("rig")
    assert window.chain.virtual == rig


def test_a_rate_that_no_card_has_is_refused_beside_it(qtbot: QtBot, window: Window) -> None:
    rate = window.bay.set_up.card.rate.editor
    rate.box.setFocus()
    rate.box.selectAll()
    qtbot.keyClicks(rate.box, "4k")
    qtbot.keyClick(rate.box, Qt.Key.Key_Return)
    assert rate.refusal == "too small: given 4000, allowed 8000 to 384000"
    assert window.chain.device.sample_rate == 48_000


def test_save_writes_what_changed_and_keeps_the_rest(qtbot: QtBot, window: Window) -> None:
    text = window.file.read_text()
    type_in(qtbot, window, "input.pressure.calibrated_on", "2026-11-26")
    with qtbot.waitSignal(window.bay.file.saved, timeout=20_000):
        window.actions_table.of("save").trigger()
    assert load_chain(window.file) == window.bench.chain
    changed = set(window.file.read_text().splitlines()) ^ set(text.splitlines())
    assert changed == {"calibrated_on = 2026-11-26"}
    assert window.bay.words.happened == "Saved in bench.toml."
    assert window.bay.set_up.head.fact == "bench.toml"


def test_a_file_that_somebody_else_changed_is_not_overwritten(qtbot: QtBot, window: Window) -> None:
    type_in(qtbot, window, "input.pressure.sensitivity_v_per_pa", "12.6")
    theirs = window.file.read_text().replace("seed = 417", "seed = 7")
    window.file.write_text(theirs)
    with qtbot.waitSignal(window.bay.file.refused, timeout=20_000):
        window.actions_table.of("save").trigger()
    assert window.file.read_text() == theirs
    assert "changed since it was opened" in window.bay.words.happened


def test_saved_as_another_file_it_is_that_file_s_chain_from_then_on(
    qtbot: QtBot, window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "other" / "mine.toml"
    other.parent.mkdir()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(other), ""))
    with qtbot.waitSignal(window.bay.file.saved, timeout=20_000):
        window.actions_table.of("save_as").trigger()
    assert load_chain(other) == window.bench.chain
    assert window.bench.wired.file == other


def test_a_trial_tells_every_input_and_keeps_nothing(qtbot: QtBot, window: Window) -> None:
    with qtbot.waitSignal(window.bench.levels_tried, timeout=30_000):
        window.actions_table.of("check_levels").trigger()
    assert [row.cells[0] for row in window.bay.history.levels.rows] == [
        "pressure",
        "sense",
        "terminal",
    ]
    assert window.bay.words.happened.startswith("Every input fits")
    assert window.bench.store.count() == 0


def test_calibrations_of_earlier_takes_show_as_drift(qtbot: QtBot, window: Window) -> None:
    with qtbot.waitSignal(window.bench.take_kept, timeout=30_000):
        window.bench.play()
    type_in(qtbot, window, "input.pressure.sensitivity_v_per_pa", "12.6")
    type_in(qtbot, window, "input.pressure.calibrated_on", "2026-11-26")
    qtbot.waitUntil(lambda: len(window.bay.history.table.rows) == 2, timeout=20_000)
    newest, oldest = window.bay.history.table.rows
    assert newest.cells[0] == "2026-11-26"
    # 20 log10(12.6 / 12.5) = +0.07 dB
    assert newest.cells[3] == "+0.07 dB"
    assert (newest.cells[1], oldest.cells[1]) == ("in force", "earlier")


def test_what_is_being_typed_outlives_what_is_heard_and_kept_meanwhile(
    qtbot: QtBot, window: Window
) -> None:
    editor = window.bay.link_panel.fields["input.pressure.sensitivity_v_per_pa"].editor
    editor.box.setFocus()
    editor.box.selectAll()
    qtbot.keyClicks(editor.box, "12.")
    window.bench.idle_levels.emit((-76.0, -110.0, -110.0))
    window.bench.store_changed.emit()
    window.bay.presenting.present()
    assert editor.text() == "12."
    qtbot.keyClicks(editor.box, "6")
    qtbot.keyClick(editor.box, Qt.Key.Key_Return)
    assert window.chain.input.pressure is not None
    assert window.chain.input.pressure.sensitivity_v_per_pa == 0.0126


def test_a_value_that_is_typed_in_other_digits_is_shown_as_it_is_kept(
    qtbot: QtBot, window: Window
) -> None:
    key = "input.pressure.sensitivity_v_per_pa"
    before = window.chain
    type_in(qtbot, window, key, "12,500")
    assert window.bay.link_panel.fields[key].editor.refusal.startswith("may mean two")
    type_in(qtbot, window, key, "12.500 mV/Pa")
    assert window.bay.link_panel.fields[key].editor.text() == "12.5"
    assert window.chain is before


def test_two_refused_texts_both_stay_until_they_are_mended(qtbot: QtBot, window: Window) -> None:
    first, second = "input.pressure.sensitivity_v_per_pa", "input.pressure.calibrated_on"
    type_in(qtbot, window, first, "0")
    type_in(qtbot, window, second, "soon")
    fields = window.bay.link_panel.fields
    assert (fields[first].editor.text(), fields[second].editor.text()) == ("0", "soon")
    assert fields[first].editor.is_refused
    type_in(qtbot, window, second, "2026-11-26")
    assert fields[first].editor.is_refused
    assert not fields[second].editor.is_refused
    window.bay.show_there("sense")
    window.bay.show_there("microphone")
    assert window.bay.link_panel.fields[first].editor.text() == "12.5"


def test_two_cards_are_offered_where_there_are_two(window: Window) -> None:
    other = replace(CARDS[0], name="Bench card B", max_output_channels=0)
    window.bay.edits.choose_card("two", found=(*CARDS, other))
    device = window.chain.device
    assert (device.output_name, device.input_name) == ("Bench card A", "Bench card B")


def test_a_held_key_is_one_step_back_and_a_second_value_another(
    qtbot: QtBot, window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [0.0]
    monkeypatch.setattr("app.desktop.panels.chain.chain_edits.monotonic", lambda: now[0])
    place = ("input", "pressure", "sensitivity_v_per_pa")
    box = window.bay.link_panel.fields[".".join(place)].editor.box
    box.setFocus()
    for _ in range(3):
        now[0] += 0.05
        qtbot.keyClick(box, Qt.Key.Key_Up)
    assert window.sensitivity() == pytest.approx(0.01253)
    now[0] += 2.0
    window.bay.edits.type_value(place, "12.7")
    window.bench.undo_stack.undo()
    assert window.sensitivity() == pytest.approx(0.01253)
    window.bench.undo_stack.undo()
    assert window.sensitivity() == 0.0125


def test_a_response_is_chosen_and_named_from_the_chain_s_file(
    qtbot: QtBot, window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = window.file.parent / "microphone.csv"
    table.write_text((DEMO / "microphone-0117.csv").read_text())
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(table), ""))
    with qtbot.waitSignal(window.bench.chain_changed, timeout=20_000):
        window.actions_table.of("response_table").trigger()
    assert window.chain.input.pressure is not None
    assert window.chain.input.pressure.response == Path("microphone.csv")
    plot = window.bay.history.response
    assert not plot.isHidden()
    assert plot.lines[0].y.size > 20
    window.bench.undo_stack.undo()
    assert plot.isHidden()
    assert window.bench.chain.response is None
