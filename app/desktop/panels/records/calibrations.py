"""Looks the calibrations of a store up, and wires their page."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.panels.calibration.printing import Printing
from app.desktop.panels.records.calibrations_page import CalibrationsPage
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.calibration_sheet import sheet_state
from app.desktop.presenters.kept_rows import KeptRow, kept_rows
from app.desktop.presenters.kept_words import in_force, printed_words, printing_words
from app.desktop.presenters.records_calibrations import (
    MOST,
    CalibrationsQuery,
    CalibrationsState,
    calibrations_state,
    calibrations_words,
)
from app.desktop.presenters.records_words import refused_words
from app.records.calibration_record import CalibrationRecord


class Calibrations(QObject):
    """Keeps list, filters and the chosen record; ``say`` hears what is shown."""

    def __init__(
        self, bench: Bench, actions: Actions, *, say: Callable[[BayWords], None], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._bench, self._say = bench, say
        self.page = CalibrationsPage(actions, parent)
        self.query = CalibrationsQuery()
        self.records: tuple[CalibrationRecord, ...] = ()
        self._rows: tuple[KeptRow, ...] = ()
        self._in_force: frozenset[str] = frozenset()
        self._state: CalibrationsState | None = None
        self.chosen: str | None = None
        self.is_shown = False
        self._certificate = actions.of("certificate")
        self._certificate.triggered.connect(self._print)
        self._certificate.setVisible(False)
        self._printing = Printing(bench, self)
        self._printing.printed.connect(self._tell_printed)
        self._printing.refused.connect(self._refuse)
        self.page.text_edited.connect(lambda text: self._ask(replace(self.query, text=text)))
        self.page.link_chosen.connect(lambda link: self._ask(replace(self.query, link=link)))
        self.page.standing_chosen.connect(
            lambda word: self._ask(replace(self.query, standing=word))
        )
        self.page.chosen.connect(self.choose)

    def show(self) -> None:
        """Look them up, and take the focus."""
        self.is_shown = True
        self._certificate.setVisible(True)
        self.refresh()
        self.page.table.setFocus()

    def hide(self) -> None:
        """Give the place up."""
        self.is_shown = False
        self._certificate.setVisible(False)

    @Slot()
    def refresh(self) -> None:
        """Look up what came meanwhile."""
        store = self._bench.store
        self._bench.worker.ask(
            "calibrations of the store",
            lambda: store.calibrations(limit=MOST),
            then=self._take,
            refused=lambda error: self._refuse(str(error)),
        )

    @Slot(str)
    def choose(self, key: str) -> None:
        """Open a record by its id."""
        self.chosen = key
        self._show_sheet()
        self.say_where()

    def say_where(self) -> None:
        """Say what is listed."""
        if self.is_shown and self._state is not None:
            self._say(
                calibrations_words(
                    self._state,
                    is_open=self._record is not None,
                    of_store=len(self.records),
                )
            )

    @property
    def _record(self) -> CalibrationRecord | None:
        return next((one for one in self.records if one.id == self.chosen), None)

    def _take(self, records: tuple[CalibrationRecord, ...]) -> None:
        self.records = records
        self._in_force = in_force(records, chain=self._bench.chain.chain)
        self._rows = kept_rows(records, in_force=self._in_force)
        self._present()

    def _ask(self, query: CalibrationsQuery) -> None:
        self.query = query
        self._present()

    def _present(self) -> None:
        state = self._state = calibrations_state(self.records, self._rows, self.query)
        self.page.set_state(state, query=self.query)
        keys = [row.key for row in state.rows]
        if self.chosen not in keys:
            self.chosen = keys[0] if keys else None
        self.page.table.choose(self.chosen)
        self._show_sheet()
        self.say_where()

    def _show_sheet(self) -> None:
        record = self._record
        self.page.set_sheet(
            None if record is None else sheet_state(record, self.records, in_force=self._in_force)
        )
        self._certificate.setEnabled(record is not None)

    @Slot()
    def _print(self) -> None:
        if self.is_shown and self.chosen is not None:
            self._say(printing_words())
            self._printing.print_page(self.chosen)

    @Slot(object)
    def _tell_printed(self, page: Path) -> None:
        self._say(printed_words(page))

    @Slot(str)
    def _refuse(self, sentence: str) -> None:
        self._say(refused_words(sentence))
