"""What every bay is: a page under the chain strip that knows what to say."""

from collections.abc import Iterator
from typing import ClassVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.presenters.bay_words import BayWords

_MADE = object()


class Bay(QWidget):
    """Wires its panels to the bench; its words stand in the row above it.

    A bay is made after the window has painted, piece by piece in idle moments, or what is missing
    when it is first entered. It connects its own actions (``actions.of("play").triggered``); those
    are enabled only while the bay is entered.

    Parameters
    ----------
    bench : Bench
        What it shows.
    actions : Actions
        What can be done in it.
    parent : QWidget or None
    at_once : bool
        Make all of it now; else ``make_more`` makes the next piece, and ``finish`` the rest.
    """

    name: ClassVar[str]  # as in the actions' table: chain, measure, limits, line, records
    said = Signal(object)  # BayWords
    open_bay = Signal(str, object)  # name of another bay and what to show there

    def __init__(
        self,
        bench: Bench,
        actions: Actions,
        parent: QWidget | None = None,
        *,
        at_once: bool = True,
    ) -> None:
        super().__init__(parent)
        self.bench, self.actions_table = bench, actions
        self._words = BayWords(happened="", next="")
        self._missing = self._pieces()
        if at_once:
            self.finish()

    def _pieces(self) -> Iterator[None]:
        """Make panels and wire them; yields where others may have the window's thread."""
        yield from ()

    def make_more(self) -> bool:
        """Make the next piece; tell whether there may be another."""
        return next(self._missing, _MADE) is not _MADE

    def finish(self) -> None:
        """Make what is missing."""
        while self.make_more():
            pass

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

    def leave_inside(self) -> bool:
        """Leave what was opened within the bay, as Esc asks; tell whether there was any."""
        return False
