"""A process that opens the Limits bay on a store, drags a point, and tells how long each took."""

import gc
import json
import sys
import time
from pathlib import Path

from PySide6.QtCore import QEvent, QEventLoop, QTimer
from PySide6.QtWidgets import QApplication, QWidget

from app.desktop.actions import EVERYWHERE, Actions, held_in
from app.desktop.bays.limits import LimitsBay
from app.desktop.bench import Bench, Wired
from app.desktop.style import dress
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import demo_chain
from app.records.store import Store
from tests.app.desktop.limits.seen_bay import point_at
from tests.app.desktop.plots import hand
from tests.benchmarks.event_loop_child import Beat
from tests.benchmarks.full_lot import CURVES, lot_mask

_SIZE = (1920, 916)  # px, of a bay in a window of 1920 × 1080
_STEP_PX, _TURN = 4.0, 30  # of the hand, from frame to frame; so many steps down
_WARM_UP = 5
_OVER_MS = 40  # without a paint: all is painted
_PATIENCE_MS = 30_000


class _Frame(QWidget):
    """A window that tells when it has painted the last answer."""

    def __init__(self) -> None:
        super().__init__()
        self._loop = QEventLoop()
        self._over = QTimer(self, singleShot=True, interval=_OVER_MS)
        self._over.timeout.connect(self._loop.quit)
        self._bay: LimitsBay | None = None
        self._is_answered = False
        self.painted_at = 0.0

    def follow(self, bay: LimitsBay) -> None:
        """Watch a bay."""
        self._bay = bay
        bay.keeper.judged.connect(self._note_answer)

    def event(self, event: QEvent) -> bool:
        """Note the time once an answer is painted and no other is to come."""
        done = super().event(event)
        if event.type() == QEvent.Type.UpdateRequest and self._is_answered:
            self.painted_at = time.perf_counter()
            self._over.start()  # unless something is still to be painted in the next turns
        return done

    def begin(self) -> float:
        """Forget earlier answers; return the time."""
        self._is_answered = False
        return time.perf_counter()

    def wait(self) -> None:
        """Let the window live until the answer to what was just done is painted."""
        QTimer.singleShot(_PATIENCE_MS, self._loop, self._loop.quit)
        self._loop.exec()
        if not self._is_answered:
            raise SystemExit("waited in vain")

    def _note_answer(self) -> None:
        self._is_answered = True


def _shown(store: Store) -> tuple[_Frame, LimitsBay]:
    newest = store.take(store.find(limit=1)[0].id)
    masks = {name: lot_mask(name) for name in CURVES}
    procedure = newest.procedure.model_copy(update={"masks": masks})
    bench = Bench(
        store=store,
        chain=Wired(snapshot=demo_chain(), file=None),
        procedure=LoadedProcedure(procedure=procedure, file="made up"),
    )
    frame = _Frame()
    shared = Actions(frame, specs=EVERYWHERE)
    bay = LimitsBay(bench, Actions(frame, specs=held_in("limits"), shared=shared), frame)
    for widget in (frame, bay):
        widget.resize(*_SIZE)
    frame.show()
    frame.follow(bay)
    return frame, bay


def _rest(ms: int) -> None:
    loop = QEventLoop()
    QTimer.singleShot(ms, loop.quit)
    loop.exec()


def main(place: Path, *, steps: int) -> dict[str, object]:
    """Return when all was painted, s, each step of a drag, ms, and the longest blocks, ms."""
    app = QApplication([])
    dress(app, dark=False)
    with Store.open(place) as store:
        frame, bay = _shown(store)
        gc.freeze()  # as the window does once it stands
        _rest(500)
        beat, blocks = Beat(), dict[str, float]()
        begun = frame.begin()
        bay.entered()
        frame.wait()
        opened_s = frame.painted_at - begun
        _rest(2000)  # a person looks at it
        blocks["opening a large lot"] = beat.worst_ms()
        drag_ms = _drag(frame, bay, steps=steps)
        blocks["dragging over it"] = beat.worst_ms()
        bay.bench.close()
    return {"opened_s": opened_s, "drag_ms": drag_ms, "blocks_ms": blocks}


def _drag(frame: _Frame, bay: LimitsBay, *, steps: int) -> list[float]:
    canvas, at = bay.units.plot.canvas, point_at(bay, "upper", 5)
    hand.press(canvas, at.x, at.y)
    _rest(100)
    taken = []
    for number in range(1, _WARM_UP + steps + 1):
        begun = frame.begin()
        # Down into the units and up again: another limit at every step.
        hand.move(canvas, at.x, at.y + _STEP_PX * (_TURN - abs(number % (2 * _TURN) - _TURN)))
        frame.wait()
        taken.append(1e3 * (frame.painted_at - begun))
        _rest(5)
    return taken[_WARM_UP:]


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), steps=int(sys.argv[2]))))
