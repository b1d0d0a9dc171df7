"""Work for the window's thread in pieces, each in a turn of the event loop of its own."""

from collections.abc import Callable, Iterable

from PySide6.QtCore import QObject, QTimer, Slot


class Turns(QObject):
    """Does one piece after another; in between the window paints and hears.

    What is taken up anew takes the place of what was not yet done.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._due: list[Callable[[], None]] = []
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._do_next)

    @property
    def is_busy(self) -> bool:
        """Whether anything is still to be done."""
        return bool(self._due)

    def take(self, pieces: Iterable[Callable[[], None]]) -> None:
        """Do these from the next turn on; none: no more."""
        self._due = list(pieces)
        if self._due:
            self._turn.start()
        else:
            self._turn.stop()

    @Slot()
    def _do_next(self) -> None:
        piece = self._due.pop(0)
        if self._due:
            self._turn.start()
        piece()
