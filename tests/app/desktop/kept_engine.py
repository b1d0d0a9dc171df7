"""One engine's process for all tests that run after each other: starting one takes a second."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import Qt

from app.desktop.engine.messages import Order, Report
from app.desktop.engine_link import Link, Told

MODULE = "tests.app.desktop.engine_child"


class KeptLink(Link):
    """Left by one bench it waits, silent and without a card, for the next."""

    def __init__(self) -> None:
        super().__init__(MODULE)
        self.is_free = False

    def leave(self) -> None:
        if not self.alive:
            super().leave()
            return
        freed, number = threading.Event(), self.next_number()

        def hear(told: Told) -> None:
            if told.kind is Report.FREE and told.number == number:
                freed.set()

        self.told.connect(hear, Qt.ConnectionType.DirectConnection)
        self.order(Order.LET_GO, number=number)
        freed.wait(20)
        self.told.disconnect(hear)
        self.is_free = True


class Engines:
    """Hands the kept process out, and a fresh one where that is in use or has ended."""

    def __init__(self, trouble: Path) -> None:
        self._kept: KeptLink | None = None
        self._trouble = trouble

    def start(self) -> Link:
        if self._kept is None or not self._kept.alive:
            self._kept = KeptLink()
        elif not self._kept.is_free:
            return Link(MODULE)
        self._kept.is_free = False
        return self._kept

    @contextmanager
    def suffering(self, trouble: str) -> Iterator[None]:
        """Let every rig suffer from something of ``engine_child``."""
        self._trouble.write_text(trouble)
        try:
            yield
        finally:
            self._trouble.unlink()

    def end(self) -> None:
        if self._kept is not None:
            Link.leave(self._kept)
