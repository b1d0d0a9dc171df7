"""Makes bays before anybody enters them, a piece at a time, while nothing else is to be done."""

from collections.abc import Callable, Iterator

from PySide6.QtCore import QObject, QTimer, Slot

from app.desktop.actions import BAYS
from app.desktop.bench import Bench
from app.desktop.window import MainWindow

_REST_MS = 10  # between two pieces, for whatever else the window has to do


class Ahead(QObject):
    """Makes the bay that is entered first, then the others; while a take is made it rests.

    Parameters
    ----------
    window : MainWindow
        Whose bays they are.
    bench : Bench
        What they show.
    first : str
        The bay to begin with.
    then : callable
        Called once that one is made.
    """

    def __init__(
        self, window: MainWindow, bench: Bench, *, first: str, then: Callable[[], None]
    ) -> None:
        super().__init__(window)
        self._window, self._bench = window, bench
        self._missing = self._pieces(first, then)
        self._timer = QTimer(self, interval=_REST_MS)
        self._timer.timeout.connect(self._make_more)
        self._timer.start()

    def _pieces(self, first: str, then: Callable[[], None]) -> Iterator[None]:
        yield from self._window.pieces(first, self._bench)
        then()
        for name in BAYS:
            yield
            yield from self._window.pieces(name, self._bench)

    @Slot()
    def _make_more(self) -> None:
        if self._bench.run.is_active:
            return
        if self._window.has_closed or next(self._missing, self) is self:
            self._timer.stop()
