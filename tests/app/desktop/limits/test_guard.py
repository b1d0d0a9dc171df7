"""Under a guard band dots and table count the same units: by verdict, not by the sign of a margin.

Twenty units at -0.9 … +1.0 dB, known to 0.2 dB, against an upper limit of 0.55 dB with one
interval of guard (ISO 14253-1): 0.8, 0.9 and 1.0 dB are out for sure, 0.4 to 0.7 dB are nearer to
the limit than they are known, thirteen conform.
"""

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.procedure.mask_schema import Mask
from tests.app.desktop.limits.seen_bay import settled
from tests.app.desktop.plots import hand

GUARDED = Mask(
    quantity="level",
    upper=((100.0, 0.55), (10_000.0, 0.55)),
    lower=((100.0, -3.0), (10_000.0, -3.0)),
    guard=1.0,
)


@pytest.fixture
def guarded(bay: LimitsBay, qtbot: QtBot) -> LimitsBay:
    masks = {**bay.bench.procedure.procedure.masks, "level": GUARDED}
    bay.draft.put_masks(masks, text="guard")
    settled(bay, qtbot)
    return bay


def head(bay: LimitsBay) -> dict[str, str]:
    return {entry.name: entry.value for entry in bay.units.dots.head.entries}


def test_dots_and_table_count_the_same_units(guarded: LimitsBay) -> None:
    assert head(guarded) == {"does not conform": "3", "not decided": "4", "conforms": "13"}
    row = next(one for one in guarded.column.masks.table.rows if one.cells[0] == "Level")
    assert row.cells[1] == "3"
    scene = guarded.units.dots.scene
    # By the sign alone it would have been 5 outside: +0.6 to +1.0 dB.
    assert int((scene.margins < 0).sum()) == 5
    assert int((scene.margins[scene.undecided] < 0).sum()) == 2
    assert "4 not decided" in guarded.units.dots.readout_text()


def test_an_undecided_unit_can_be_drawn(guarded: LimitsBay) -> None:
    scene = guarded.units.dots.scene
    canvas = guarded.units.dots.canvas
    unit = int(scene.undecided.nonzero()[0][0])
    x, y, _ = scene.places(scene.frame(canvas.size().toSizeF()))
    hand.press(canvas, x[unit], y[unit])
    assert guarded.presenting.shown.drawn == [unit]
    hand.key(canvas, Qt.Key.Key_Left)
    assert len(guarded.presenting.shown.drawn) == 2


def test_without_a_guard_nothing_is_undecided(bay: LimitsBay) -> None:
    assert head(bay) == {"does not conform": "0", "conforms": "20"}
