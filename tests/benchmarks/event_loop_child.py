"""A process that lives as the window does, and tells how long its event loop stood still."""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication

from app.desktop.actions import BAYS
from app.desktop.opening import Wanted
from app.desktop.selftest.hands import pause
from app.desktop.settings import Settings
from app.desktop.start import Start
from app.desktop.style import dress
from app.desktop.window import MainWindow

TAKES = 3
PATIENCE_S = 60.0


class Beat(QObject):
    """Wants to be called every millisecond, and notes the longest that it was not."""

    def __init__(self) -> None:
        super().__init__()
        self._timer = QTimer(self, interval=1, timerType=Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._beat)
        self._last, self._worst_s = time.perf_counter(), 0.0
        self._timer.start()

    def worst_ms(self) -> float:
        """Return the longest since this was asked last, ms."""
        worst, self._worst_s = self._worst_s, 0.0
        return 1000 * worst

    def _beat(self) -> None:
        now = time.perf_counter()
        self._worst_s = max(self._worst_s, now - self._last)
        self._last = now


def wait_until(done: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not done():
        if time.monotonic() > end:
            raise SystemExit("waited in vain")
        pause(20)


def main(folder: Path) -> dict[str, float]:
    """Open, enter every bay, make takes; return the longest block of each, ms."""
    app = QApplication(["dustcap"])
    dress(app, dark=False)
    settings = Settings(folder / "window.ini")
    window = MainWindow(settings)
    start = Start(window, wanted=Wanted(store=str(folder / "records.sqlite")))
    window.resize(1280, 800)
    window.show()
    beat, found = Beat(), dict[str, float]()
    wait_until(lambda: window.bay is not None)
    pause(1000)
    found["opening"] = beat.worst_ms()
    bench = window.bench
    if bench is None:
        raise SystemExit("the window did not open")
    for name in BAYS:
        window.enter(name)
        pause(300)
    found["entering a bay for the first time"] = beat.worst_ms()
    window.enter("measure")
    pause(300)
    for number in range(TAKES):
        beat.worst_ms()
        bench.play()
        wait_until(lambda: not bench.run.is_active)
        pause(500)
        found["a take, the first" if not number else "a take"] = beat.worst_ms()
    window.close()
    start.wait()
    return found


if __name__ == "__main__":
    with TemporaryDirectory() as place:
        print(json.dumps(main(Path(place))))
    sys.exit(0)
