"""A Limits bay that is shown, and a hand that takes the points of its masks."""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import EVERYWHERE, Actions, held_in
from app.desktop.bays.limits import LimitsBay
from app.desktop.bench import Bench, Wired
from app.desktop.style import dress
from app.procedure.edit_masks import Side
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import demo_chain
from app.records.store import Store
from tests.app.desktop.plots import hand
from tests.app.measure.trial_store import PROCEDURE


@contextmanager
def seen_bay(
    store: Store, qtbot: QtBot, *, loaded: LoadedProcedure | None = None
) -> Iterator[LimitsBay]:
    """Show a bay on a store; wait until its units were judged; close all at the end."""
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    dress(app, dark=False)
    bench = Bench(
        store=store,
        chain=Wired(snapshot=demo_chain(), file=None),
        procedure=loaded or LoadedProcedure(procedure=PROCEDURE, file="made up"),
    )
    frame = QWidget()
    qtbot.addWidget(frame)
    shared = Actions(frame, specs=EVERYWHERE)
    bay = LimitsBay(bench, Actions(frame, specs=held_in("limits"), shared=shared), frame)
    frame.resize(1280, 636)
    bay.resize(1280, 636)
    with qtbot.waitExposed(frame):
        frame.show()
    bay.entered()
    settled(bay, qtbot)
    yield bay
    bench.close()
    frame.close()


def settled(bay: LimitsBay, qtbot: QtBot) -> None:
    """Wait until the last question was answered."""
    qtbot.waitUntil(
        lambda: bay.keeper.seen is not None and not bay.bench.worker.is_busy, timeout=10_000
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """Px in the plot."""

    x: float
    y: float


def point_at(bay: LimitsBay, side: Side, index: int) -> At:
    """Where a break point is seen."""
    mask = next(one for one in bay.units.plot.masks if one.name == side)
    return place(bay, hz=float(mask.hz[index]), value=float(mask.values[index]))


def place(bay: LimitsBay, *, hz: float, value: float) -> At:
    """Where a frequency and a limit are seen."""
    frame = bay.units.plot.canvas.frame()
    return At(x=frame.px_of(math.log10(hz)), y=frame.py_of(value))


def drag(bay: LimitsBay, side: Side, index: int, *, hz: float, value: float) -> None:
    """Take a point, move it in five steps, and hold it there."""
    canvas = bay.units.plot.canvas
    start, end = point_at(bay, side, index), place(bay, hz=hz, value=value)
    hand.press(canvas, start.x, start.y)
    for step in range(1, 6):
        share = step / 5
        hand.move(canvas, start.x + share * (end.x - start.x), start.y + share * (end.y - start.y))


def let_go(bay: LimitsBay, *, hz: float, value: float) -> None:
    """Let the point go where it is."""
    end = place(bay, hz=hz, value=value)
    hand.release(bay.units.plot.canvas, end.x, end.y)
