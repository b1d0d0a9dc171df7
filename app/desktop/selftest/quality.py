"""The quality lead's story: truth, draft, what it costs, approval, a unit measured against it."""

import math

import numpy as np
from PySide6.QtCore import QPointF, Qt

from app.desktop.bays.limits import LimitsBay
from app.desktop.bays.line import LineBay
from app.desktop.bays.measure import MeasureBay
from app.desktop.presenters.mark import Mark
from app.desktop.selftest.hands import Hands, StoryBrokeError
from app.desktop.selftest.stage import LOT, Stage
from hardware.chain.virtual_schema import Faults

_CONTROL = Qt.KeyboardModifier.ControlModifier
_DOWN_PX = 60.0
_JUDGED = {Mark.GOOD, Mark.BAD, Mark.UNDECIDED}
_SERIAL, _RUBBING = f"{LOT}-0450", f"{LOT}-0451"


def tell_quality(hands: Hands, stage: Stage) -> None:
    """Play the story.

    Raises
    ------
    StoryBrokeError
        A step did not come to what it should.
    """
    window = stage.window
    hands.press(Qt.Key.Key_3, _CONTROL)
    bay = window.bay
    if not isinstance(bay, LimitsBay):
        raise StoryBrokeError("Ctrl 3 does not enter Limits")
    with hands.step("sees the units of the store under the limits"):
        hands.wait("the units judged", lambda: bay.keeper.seen is not None)
    with hands.step("draws the worst unit, and notes that inspection found it bad"):
        _mark_truth(hands, stage, bay)
    with hands.step("makes the unit nearest to the middle the reference"):
        _choose_reference(hands, stage, bay)
    with hands.step("has limits proposed that stop few good units, and takes them back"):
        _propose(hands, bay)
    with hands.step("drags a break point down: margins follow"):
        _drag_point(hands, bay)
    with hands.step("takes it back with Ctrl Z, and does it again with Ctrl Y"):
        before = _margins(bay)
        hands.press(Qt.Key.Key_Z, _CONTROL)
        hands.wait("the old margins", lambda: _margins(bay) != before)
        hands.press(Qt.Key.Key_Y, _CONTROL)
        hands.wait("the new ones", lambda: _margins(bay) == before)
    with hands.step("weighs escapes against false rejects, and looks at the lots"):
        _weigh(hands, bay)
    with hands.step("saves the draft as a revision, with name and reason"):
        _save(hands, stage, bay)
    with hands.step("approves it: name and reason once more"):
        _approve(hands, stage, bay)
    with hands.step("goes to the line, where a scanner types: the take starts by itself"):
        _scan(hands, stage)
    with hands.step("scans a unit that rubs: the panel says so, and Measure shows where"):
        _look_into(hands, stage)


def _mark_truth(hands: Hands, stage: Stage, bay: LimitsBay) -> None:
    scene, canvas = bay.units.dots.scene, bay.units.dots.canvas
    x, y, _ = scene.places(scene.frame(canvas.size().toSizeF()))
    worst = int(np.nanargmin(scene.margins))
    hands.click(canvas, QPointF(x[worst], y[worst]))
    panel = bay.side.inspection
    hands.wait("the unit drawn", lambda: not panel.isHidden())
    hands.click(panel.by.box)
    hands.write("inspection")
    hands.press(Qt.Key.Key_Tab)
    hands.write("weak, magnet lost flux")
    hands.click(bay.units.plot.canvas)
    hands.press(Qt.Key.Key_B)
    hands.wait("the mark", lambda: stage.reads("was found bad"))
    _wait_idle(hands, bay)


def _choose_reference(hands: Hands, stage: Stage, bay: LimitsBay) -> None:
    hands.press(Qt.Key.Key_R)
    hands.wait("the nearest units", lambda: bool(bay.column.reference.table.rows))
    hands.write("nearest of the lot")
    hands.press(Qt.Key.Key_Return)
    hands.wait("the reference", lambda: stage.reads("is the reference unit"))
    _wait_idle(hands, bay)


def _propose(hands: Hands, bay: LimitsBay) -> None:
    before = bay.draft.mask
    hands.press(Qt.Key.Key_P)
    hands.press(Qt.Key.Key_Return)
    hands.wait("a proposal", lambda: bay.draft.mask != before)
    hands.press(Qt.Key.Key_Z, _CONTROL)
    hands.wait("the mask as it was", lambda: bay.draft.mask == before)
    _wait_idle(hands, bay)


def _weigh(hands: Hands, bay: LimitsBay) -> None:
    hands.click(bay.units.plot.canvas)
    hands.press(Qt.Key.Key_W)
    hands.wait("the curves of mistakes", lambda: bool(bay.units.weighed.scene.lines))
    hands.press(Qt.Key.Key_Escape)
    hands.press(Qt.Key.Key_L)
    hands.wait("the lots", lambda: bool(bay.lots_page.table.rows))
    hands.press(Qt.Key.Key_L)
    _wait_idle(hands, bay)


def _wait_idle(hands: Hands, bay: LimitsBay) -> None:
    hands.wait("the last answer", lambda: not bay.bench.worker.is_busy)


def _drag_point(hands: Hands, bay: LimitsBay) -> None:
    plot, before = bay.units.plot, _margins(bay)
    mask = next(one for one in plot.masks if one.editable and one.sense == "upper")
    middle = len(mask.hz) // 2
    frame = plot.canvas.frame()
    start = QPointF(
        frame.px_of(math.log10(float(mask.hz[middle]))), frame.py_of(float(mask.values[middle]))
    )
    hands.drag(plot.canvas, start, start + QPointF(0, _DOWN_PX))
    # The last of the answers that followed the hand, not the first.
    hands.wait("other margins", lambda: not bay.bench.worker.is_busy and _margins(bay) != before)


def _margins(bay: LimitsBay) -> list[str]:
    """Read the column of margins, as it stands on the screen."""
    model = bay.column.masks.table.model()
    last = model.columnCount() - 1
    return [str(model.index(row, last).data()) for row in range(model.rowCount())]


def _save(hands: Hands, stage: Stage, bay: LimitsBay) -> None:
    hands.click(bay.column.revisions.by.box)
    hands.write("quality lead")
    hands.press(Qt.Key.Key_Tab)
    hands.write("room for the lot")
    hands.press(Qt.Key.Key_Return)
    hands.wait("the revision", lambda: stage.reads("is in the store"))


def _approve(hands: Hands, stage: Stage, bay: LimitsBay) -> None:
    hands.click(bay.units.plot.canvas)
    hands.press(Qt.Key.Key_A)
    hands.wait("the question", lambda: bay.approving.sheet is not None)
    hands.write("seen on the lot")
    hands.press(Qt.Key.Key_Return)
    hands.wait("the approval", lambda: stage.reads("is approved"))


def _scan(hands: Hands, stage: Stage) -> None:
    hands.press(Qt.Key.Key_4, _CONTROL)
    bay = stage.window.bay
    if not isinstance(bay, LineBay):
        raise StoryBrokeError("Ctrl 4 does not enter Line")
    scan(hands, stage, _SERIAL)
    hands.wait(
        "the giant verdict",
        lambda: bay.panel.state.serial == _SERIAL and bay.panel.state.mark in _JUDGED,
    )


def _look_into(hands: Hands, stage: Stage) -> None:
    stage.lay_on(Faults(coil_rub=0.5))
    scan(hands, stage, _RUBBING)
    line = stage.window.bay
    assert isinstance(line, LineBay)
    hands.wait("the unit that rubs to be told as such", lambda: line.panel.state.mark is Mark.BAD)
    bay = show_defects(hands, stage)
    if not bay.defects_results.said.said:
        raise StoryBrokeError("nothing is said of what was heard")
    stage.bench.undo_stack.undo()


def scan(hands: Hands, stage: Stage, serial: str) -> None:
    """Have a unit measured in Line, as a scanner would."""
    hands.press(Qt.Key.Key_4, _CONTROL)
    kept = stage.bench.store.count()
    hands.write(serial)
    hands.press(Qt.Key.Key_Return)
    hands.wait("the take", lambda: stage.bench.store.count() == kept + 1)
    hands.wait("the run to end", lambda: not stage.bench.run.is_active)


def show_defects(hands: Hands, stage: Stage) -> MeasureBay:
    """Look at the newest take's defects in Measure."""
    last, *_ = stage.bench.store.find(limit=1)
    stage.window.open_bay("measure", last.id)
    bay = stage.window.bay
    assert isinstance(bay, MeasureBay)
    hands.wait("the take", lambda: not stage.bench.worker.is_busy)
    hands.press(Qt.Key.Key_G)
    hands.wait("the residual", lambda: bay.defects_page.picture.map is not None)
    hands.wait("everything found", lambda: not stage.bench.worker.is_busy)
    return bay
