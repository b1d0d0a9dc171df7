"""The kept calibrations of the chosen link: opened, and printed."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.panels.calibration.printing import Printing
from app.desktop.panels.chain.history import HistoryPanel
from app.desktop.panels.chain.opened import Opened
from app.desktop.panels.chain.presenting import Presenting
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.calibration_sheet import sheet_state
from app.desktop.presenters.kept_words import opened_words, printed_words, printing_words
from app.desktop.presenters.mark import Mark


class Keeping(QObject):
    """Wires the list of calibrations to what is done with one of them.

    ``shown``: a record is open; ``left``: it is no more.
    """

    shown = Signal()
    left = Signal()

    def __init__(
        self,
        bench: Bench,
        actions: Actions,
        *,
        history: HistoryPanel,
        presenting: Presenting,
        say: Callable[[BayWords], None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._history, self._presenting, self._say = history, presenting, say
        self._actions = actions
        self._opened: Opened | None = None  # made when it is first asked for
        self._printing = Printing(bench, self)
        self._certificate = actions.of("certificate")
        self._certificate.triggered.connect(self.print_page)
        self._certificate.setEnabled(False)
        history.table.chosen.connect(self._allow)
        history.table.pressed_twice.connect(self.open)
        presenting.history_taken.connect(self._allow)
        self._printing.printed.connect(self._tell_printed)
        self._printing.refused.connect(self._tell_refused)

    @property
    def opened(self) -> Opened:
        """The columns of an open record."""
        if self._opened is None:
            parent = self.parent()
            assert isinstance(parent, QWidget)  # the bay
            self._opened = Opened(self._actions, parent)
            self._opened.closed.connect(self._leave)
        return self._opened

    @property
    def is_open(self) -> bool:
        """Whether a record is shown."""
        return self._opened is not None and self._opened.is_open

    @Slot(str)
    def open(self, key: str) -> None:
        """Open a record by its id; what was typed has none."""
        records = self._presenting.shown_records
        record = next((one for one in records if one.id == key), None)
        if record is None:
            return
        sheet = sheet_state(record, records, in_force=self._presenting.in_force)
        self.opened.open(sheet)
        self._allow()
        self.shown.emit()
        self._say(opened_words(sheet.title, mark=sheet.found.mark, word=sheet.found.word))

    def close(self) -> None:
        """Leave what is open."""
        if self._opened is not None:
            self._opened.close()

    @Slot()
    def print_page(self) -> None:
        """Print the page of the open record, else of the chosen one."""
        key = self._key
        if key is not None:
            self._say(printing_words())
            self._printing.print_page(key)

    @property
    def _key(self) -> str | None:
        if self._opened is not None and self._opened.sheet is not None:
            return self._opened.sheet.key
        known = {one.id for one in self._presenting.shown_records}
        return self._history.table.key if self._history.table.key in known else None

    @Slot()
    def _allow(self, *_: object) -> None:
        self._certificate.setEnabled(self._key is not None)

    @Slot()
    def _leave(self) -> None:
        self._allow()
        self.left.emit()

    @Slot(object)
    def _tell_printed(self, page: Path) -> None:
        self._say(printed_words(page))

    @Slot(str)
    def _tell_refused(self, sentence: str) -> None:
        self._say(
            BayWords(
                mark=Mark.BAD,
                happened=f"Not printed: {sentence.rstrip('.')}.",
                next="put that right, then press P again.",
                action="certificate",
            )
        )
