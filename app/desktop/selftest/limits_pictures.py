"""Pictures of what the Limits bay can do beside a mask on its units."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt

from app.desktop.bays.limits import LimitsBay
from app.desktop.selftest.hands import Hands
from app.desktop.selftest.stage import LOT, Stage
from app.procedure.edit_masks import offset

Leave = Callable[[str], list[Path]]  # pictures of a name, at all sizes in both themes

_TOOLS = (
    (Qt.Key.Key_W, "limits-weigh"),
    (Qt.Key.Key_U, "limits-gauge"),
    (Qt.Key.Key_R, "limits-reference"),
    (Qt.Key.Key_P, "limits-propose"),
)
_FIRST, _LAST, _WEAK = 401, 424, (405, 410, 415, 420)  # serials; those with lost flux
_TIGHTER_DB = 1.5


def picture_limits(hands: Hands, stage: Stage, *, leave: Leave) -> list[Path]:
    """Leave every tool, and the page of lots."""
    store = stage.bench.store
    store.mark_units([_serial(one) for one in _WEAK], "bad", by="inspection", why="weak")
    good = [_serial(one) for one in range(_FIRST, _LAST + 1) if one not in _WEAK]
    store.mark_units(good, "good", by="inspection", why="heard")
    stage.bench.store_changed.emit()
    hands.press(Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
    bay = stage.window.bay
    assert isinstance(bay, LimitsBay)
    _idle(hands, bay)
    bay.draft.edit(
        lambda mask: offset(mask, upper_by=-_TIGHTER_DB, lower_by=_TIGHTER_DB), text="Offset"
    )
    _idle(hands, bay)
    made = []
    for key, name in _TOOLS:
        hands.click(bay.units.plot.canvas)
        hands.press(key)
        _idle(hands, bay)
        made += leave(name)
        hands.press(Qt.Key.Key_Escape)
    hands.press(Qt.Key.Key_L)
    _idle(hands, bay)
    made += leave("limits-lots")
    hands.press(Qt.Key.Key_L)
    stage.bench.undo_stack.undo()
    return made


def _serial(number: int) -> str:
    return f"{LOT}-{number:04d}"


def _idle(hands: Hands, bay: LimitsBay) -> None:
    hands.wait(
        "the last answer", lambda: bay.keeper.seen is not None and not bay.bench.worker.is_busy
    )
