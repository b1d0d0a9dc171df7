"""The engineer's story, its last part: near field and far field of a unit become one response."""

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit

from app.desktop.bays.measure import MeasureBay
from app.desktop.bench import Bench, Wired
from app.desktop.selftest.hands import Hands, StoryBrokeError
from app.desktop.selftest.stage import Stage
from hardware.chain.edit import with_chain_values

_GAP_M = 0.01
_AREA_CM2, _EDGE_M = "85", "0.6"


def play_near(hands: Hands, stage: Stage, bay: MeasureBay) -> None:
    """Put the microphone before the cone, say so at Geometry, and play.

    Raises
    ------
    StoryBrokeError
        The take was not kept.
    """
    _move_microphone(stage.bench, _GAP_M)
    bay.set_up.gate.mounting.setFocus()
    for _ in range(2):
        hands.press(Qt.Key.Key_Down)
    hands.wait("the area's field", bay.set_up.gate.area.isVisible)
    for name, typed in (
        ("Gate", ""),
        ("Distance to the microphone", f"{_GAP_M:g}"),
        ("Area of what it stands in front of", _AREA_CM2),
    ):
        _type(hands, stage, name=name, text=typed)
    bay.plots.stack.plots[0].setFocus()
    kept = stage.bench.store.count()
    hands.press(Qt.Key.Key_Space)
    hands.wait("the near field to be kept", lambda: stage.bench.store.count() == kept + 1)
    hands.wait("the run to end", lambda: not stage.bench.run.is_active)


def read_merged(hands: Hands, stage: Stage, bay: MeasureBay) -> None:
    """Go to both fields, and say how large the baffle is.

    Raises
    ------
    StoryBrokeError
        They were not merged, or the edge made no difference.
    """
    hands.press(Qt.Key.Key_F)
    hands.wait("a merged response", lambda: bay.merge.joined is not None)
    before = bay.merge.joined
    _type(hands, stage, name="edge", text=_EDGE_M)
    hands.wait("another one", lambda: bay.merge.joined not in {before, None})
    hands.wait("everything found", lambda: not stage.bench.worker.is_busy)
    bay.plots.stack.plots[0].setFocus()
    ends = {row.reason: row.far for row in bay.merge_results.card.ends}
    if not ends["baffle"].endswith("Hz"):
        raise StoryBrokeError("the baffle's edge names no frequency")


def keep_merged(hands: Hands, stage: Stage, bay: MeasureBay) -> None:
    """Keep the response, and go back to the curves."""
    kept = stage.bench.store.count()
    hands.press(Qt.Key.Key_F, Qt.KeyboardModifier.ShiftModifier)
    hands.wait("the merged take to be kept", lambda: stage.bench.store.count() > kept)
    hands.wait("the row to say so", partial(stage.reads, "is kept as take"))
    hands.press(Qt.Key.Key_F)
    hands.wait("the curves again", bay.result.isVisible)


def _move_microphone(bench: Bench, distance_m: float) -> None:
    # On the rig in software nobody can: its chain says where the microphone stands.
    moved = with_chain_values(bench.chain, {("virtual", "distance_m"): distance_m})
    bench.edit_chain(Wired(snapshot=moved, file=bench.wired.file), text="move the microphone")


def _type(hands: Hands, stage: Stage, *, name: str, text: str) -> None:
    field = hands.find(QLineEdit, name, within=stage.window)
    hands.click(field)
    field.selectAll()
    hands.press(Qt.Key.Key_Delete)
    hands.write(text)
    hands.press(Qt.Key.Key_Return)
