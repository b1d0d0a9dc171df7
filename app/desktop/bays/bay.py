"""What every bay is: a page under the chain strip that knows what to say."""

from typing import ClassVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.presenters.bay_words import BayWords


class Bay(QWidget):
    """Wires its panels to the bench; its words stand in the row above it.

    A bay is made when it is first entered, so that the window paints before any of them. It
    connects its own actions (``actions.of("play").triggered``); those are enabled only while the
    bay is entered.
    """

    name: ClassVar[str]  # as in the actions' table: chain, measure, limits, line, records
    said = Signal(object)  # BayWords
    open_bay = Signal(str, object)  # name of another bay and what to show there

    def __init__(self, bench: Bench, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bench, self.actions_table = bench, actions
        self._words = BayWords(happened="", next="")

    @property
    def words(self) -> BayWords:
        """What the row says now."""
        return self._words

    @property
    def shown_link(self) -> str | None:
        """Link of the chain that it is about, for the strip to show; None for none."""
        return None

    def say(self, words: BayWords) -> None:
        """Change what the row says."""
        self._words = words
        self.said.emit(words)

    def entered(self) -> None:
        """Take the place under the strip: look for what changed meanwhile, take the focus."""

    def left(self) -> None:
        """Give the place up."""

    def show_there(self, payload: object) -> None:
        """Show what another bay asked for: an id of a take, a link, a mask; nothing by default."""
