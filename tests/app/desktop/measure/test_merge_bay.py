"""Near and far field merged in the Measure bay, from key to kept take."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import View
from app.desktop.presenters.merge_form import MergeForm
from app.records.take import Take
from hardware.virtual.bench import bench_of
from hardware.virtual.truth import small_signal
from tests.app.desktop.measure.bay_on_bench import Desk, open_desk
from tests.app.measure.near_field_takes import SD_CM2, far_take, near_take


@pytest.fixture(scope="module")
def _bench(
    request: pytest.FixtureRequest,
    qapp: QApplication,
    tmp_path_factory: pytest.TempPathFactory,
    empty_store: Path,
) -> Iterator[tuple[Desk, Take, Take]]:
    place = Path(shutil.copy(empty_store, tmp_path_factory.mktemp("merge") / "records.sqlite"))
    desk = open_desk(QtBot(request), qapp, place=place)
    store = desk.bench.store
    yield desk, near_take(store=store, radiator_cm2=None), far_take(store=store)
    desk.close()


@pytest.fixture
def takes(_bench: tuple[Desk, Take, Take]) -> tuple[Take, Take]:
    """A near field of which nobody told the area, and a far field behind a gate."""
    return _bench[1], _bench[2]


@pytest.fixture
def desk(qtbot: QtBot, _bench: tuple[Desk, Take, Take]) -> Desk:
    """A bay on which the near field is shown, and nothing is typed."""
    desk, near, _ = _bench
    desk.qtbot = qtbot
    desk.bay.plots.set_view(View.APART)
    desk.bay.takes.refresh()
    desk.bay.show_there(near.id)
    desk.settle()
    desk.bay.merge._put(MergeForm())
    desk.settle()
    return desk


def merge(desk: Desk) -> None:
    """Go to the view and tell the area."""
    desk.do("merge")
    desk.settle()
    desk.type_into(desk.bay.merge_panel.fields["near_area"], f"{SD_CM2:g}")


def test_f_leads_to_both_fields_and_back(desk: Desk) -> None:
    bay = desk.bay
    seen = []
    for _ in range(2):
        desk.do("merge")
        columns = (bay.merge_results, bay.merge_panel, bay.result, bay.set_up)
        seen.append((bay.plots.view, [column.isVisible() for column in columns]))
    assert seen == [
        (View.MERGED, [True, True, False, False]),
        (View.APART, [False, False, True, True]),
    ]


def test_a_take_that_may_be_merged_has_a_button_for_it(desk: Desk) -> None:
    button = desk.bay.result.merge
    assert button.isVisible()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert desk.bay.plots.view is View.MERGED


def test_without_an_area_its_field_says_so_and_with_one_the_unit_s_own_response_appears(
    desk: Desk, takes: tuple[Take, Take]
) -> None:
    bay, far = desk.bay, takes[1]
    desk.do("merge")
    desk.settle()
    assert bay.merge_panel.fields["near_area"].is_refused
    assert not bay.merge_page.level.lines
    assert "an area is not known" in bay.words.happened
    assert not desk.actions.of("keep_merged").isEnabled()
    desk.type_into(bay.merge_panel.fields["near_area"], f"{SD_CM2:g}")
    merged = bay.merge_page.level.lines[0]
    rig = bench_of(far.chain)
    unit = small_signal(rig.unit, air=rig.air)
    # The closed form of the rig's unit, by 1/r from far away.
    pressure = 50 * np.abs(unit.pressure_per_volt(merged.x, distance_m=50.0)) * 2.0
    inside = (merged.x >= 20) & (merged.x <= 15_000)
    error = merged.y - 20 * np.log10(pressure / 20e-6)
    assert np.max(np.abs(error[inside])) < 0.15
    assert "are merged from 345 Hz to 529 Hz: valid from 10 Hz" in bay.words.happened
    assert desk.actions.of("keep_merged").isEnabled()


def test_the_edge_of_the_baffle_ends_the_far_field_and_every_edit_can_be_undone(
    desk: Desk,
) -> None:
    merge(desk)
    bay, panel = desk.bay, desk.bay.merge_panel

    def far_ends() -> dict[str, str]:
        return {row.cells[0]: row.cells[2] for row in bay.merge_results.ends.rows}

    assert far_ends()["baffle"] == "unknown"
    desk.type_into(panel.fields["far_edge"], "0.4")
    assert far_ends()["baffle"] == "432 Hz"  # half a wave of 345.9 m/s
    assert bay.merge_page.level.scene.shades[0].low == pytest.approx(432.4, rel=1e-3)
    stack = desk.bench.undo_stack
    assert stack.undoText() == "set edge of what is merged to 0.4 m"
    stack.undo()
    desk.settle()
    assert far_ends()["baffle"] == "unknown"
    assert panel.fields["far_edge"].text() == ""
    stack.redo()
    desk.settle()
    assert far_ends()["baffle"] == "432 Hz"


def test_what_is_refused_stays_beside_its_field_and_the_merge_as_it_was(desk: Desk) -> None:
    merge(desk)
    bay, panel = desk.bay, desk.bay.merge_panel
    before, edits = bay.merge.joined, desk.bench.undo_stack.index()
    desk.type_into(panel.fields["near_gap"], "-3")
    assert "allowed above 0" in panel.fields["near_gap"].refusal
    assert panel.fields["near_gap"].text() == "-3"
    assert bay.merge.joined is before
    assert desk.bench.undo_stack.index() == edits
    desk.type_into(panel.fields["near_gap"], "10")
    assert not panel.fields["near_gap"].is_refused
    desk.type_into(panel.fields["low"], "100")
    assert "Crossover outside what both hold" in panel.fields["low"].refusal
    desk.type_into(panel.fields["low"], "400")
    assert not panel.fields["low"].is_refused
    assert bay.merge_page.level.scene.shades[0].low == 400.0


def test_a_wrong_gap_is_told_as_a_doubt(desk: Desk) -> None:
    merge(desk)
    desk.type_into(desk.bay.merge_panel.fields["near_gap"], "40")
    card = desk.bay.merge_results.card
    assert next(f for f in card.facts if f.name == "far less near").mark is Mark.CAUTION
    assert "check area, gap" in card.doubts[0].sentence
    assert "differ by" in desk.bay.words.happened


def test_another_take_is_chosen_from_those_there_are(desk: Desk, takes: tuple[Take, Take]) -> None:
    merge(desk)
    panel = desk.bay.merge_panel
    assert panel.takes["near"].key() == takes[0].id
    panel.chosen.emit("near", "")
    desk.settle()
    assert "near field is missing" in desk.bay.words.happened
    desk.bench.undo_stack.undo()
    desk.settle()
    assert panel.takes["near"].key() == takes[0].id


def test_a_choice_stays_until_another_take_is_shown(desk: Desk, takes: tuple[Take, Take]) -> None:
    merge(desk)
    bay, (near, far) = desk.bay, takes
    bay.merge_panel.chosen.emit("near", "")
    bay.takes.toggle(far.id)
    desk.settle()
    assert "near field is missing" in bay.words.happened
    bay.takes.toggle(far.id)
    bay.show_there(far.id)
    desk.settle()
    assert bay.merge_panel.takes["near"].key() == near.id


def test_fields_and_figures_are_not_cut_at_any_promised_height_and_copy_takes_all_three(
    desk: Desk,
) -> None:
    merge(desk)
    column = desk.bay.merge_results.column
    for height in (576, 636):
        desk.window.resize(1280, height)
        desk.settle()
        assert desk.bay.merge_panel.wanted() <= desk.bay.merge_panel.height()
        assert column.wanted() <= column.height()
    desk.bay.plots.set_cursor(None)
    desk.do("copy")
    head = QGuiApplication.clipboard().text().splitlines()[0]
    for name in ("merged", "near", "far", "difference"):
        assert name in head
    assert "on the clipboard" in desk.bay.words.happened


def test_the_merged_response_is_kept_and_shown_with_its_fields_one_key_away(
    desk: Desk, takes: tuple[Take, Take]
) -> None:
    merge(desk)
    bay, store = desk.bay, desk.bench.store
    before = store.count()
    desk.do("keep_merged")
    desk.settle()
    assert store.count() == before + 2  # the near field with its area, and the merged one
    kept = next(one for one in store.find(limit=3) if one.procedure.endswith(", merged"))
    assert f"kept as take {kept.number}" in bay.words.happened
    take = store.take(kept.id)
    assert take.rests_on["far field"] == takes[1].id
    again = store.take(take.rests_on["near field"])
    assert again.procedure.geometry.radiator_cm2 == SD_CM2
    desk.do("merge")
    bay.show_there(kept.id)
    desk.settle()
    assert bay.result.merge.isVisible()
    desk.do("merge")
    desk.settle()
    assert bay.merge_panel.takes["near"].key() == again.id
    assert bay.merge_panel.takes["far"].key() == takes[1].id
