"""What the keys do with the chosen record: derive again, compare, open, write, copy, name."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Slot
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtWidgets import QFileDialog

from app.desktop.controls.key_button import KeyButton
from app.desktop.panels.records.ask_row import AskRow
from app.desktop.panels.records.deriving import DerivedAgain, Deriving, KeptAgain
from app.desktop.panels.records.export_take import Written, export_stored
from app.desktop.panels.records.report_take import Reported, report_stored
from app.desktop.person import person
from app.desktop.presenters import records_words as words
from app.desktop.presenters.records_compare import again_state
from app.desktop.presenters.records_take import copied, record_state
from app.records.version import SOFTWARE_VERSION

if TYPE_CHECKING:
    from app.desktop.bays.records import RecordsBay


NEEDS_A_RECORD = (
    "derive_again",
    "compare",
    "open_take",
    "report",
    "export",
    "set_reference",
    "copy",
)


class RecordActions(QObject):
    """Connects the actions of the bay to what they do with its record."""

    def __init__(self, bay: "RecordsBay") -> None:
        super().__init__(bay)
        self._bay, self._bench = bay, bay.bench
        self.deriving = Deriving(self._bench, self)
        self.deriving.derived.connect(self._show_derived)
        self.deriving.kept.connect(self._show_kept)
        self.deriving.refused.connect(self._refuse)
        self.export_row, self.report_row = self._folder_row("Export"), self._folder_row("Report")
        self.export_row.answered.connect(self._export)
        self.report_row.answered.connect(self._report)
        self.reference_row = AskRow(
            "Make it the reference",
            [("By", "who decides"), ("Why", "for what reason")],
            do="Make it so",
        )
        self.reference_row.fields[0].set_text(person())
        self.reference_row.answered.connect(self._set_reference)
        self._rows = (self.export_row, self.report_row, self.reference_row)
        for row in self._rows:
            row.shown.connect(self._give_focus_back)
            bay.panel.add_question(row)
        for action, slot in (
            ("derive_again", self.derive_again),
            ("compare", self.compare),
            ("open_take", self.open_in_measure),
            ("report", self.ask_report),
            ("export", self.ask_export),
            ("set_reference", self.ask_reference),
            ("copy", self.copy),
            ("copy_picture", self.copy_picture),
            ("find", self.find),
            ("look_again", self.look_again),
            ("whole_range", self.whole_range),
            ("difference", self.turn_difference),
        ):
            bay.actions_table.of(action).triggered.connect(lambda _=False, slot=slot: slot())

    def leave(self) -> None:
        """Let go of what is asked for in the column."""
        for row in self._rows:
            row.leave()

    def forget_derived(self) -> None:
        """Let go of figures that were derived again and not kept."""
        self.deriving.forget()

    @Slot()
    def derive_again(self) -> None:
        """Derive the chosen take again; pressed once more, keep what differs."""
        record = self._bay.record
        if record is None:
            return
        pending = self.deriving.pending(record.take.id)
        if pending is not None:
            self.deriving.keep(pending)
            return
        self._bay.show_record_page()
        self._bay.tell(words.deriving_words(record.number))
        self.deriving.derive(record)

    @Slot()
    def compare(self) -> None:
        """Hold the chosen take for a comparison, or end it."""
        bay = self._bay
        if bay.record is None:
            return
        bay.comparing.toggle(bay.record)
        bay.present()
        bay.say_anew()
        bay.table.setFocus()

    @Slot()
    def open_in_measure(self, *_: object) -> None:
        """Show the curves of the chosen take in Measure."""
        if self._bay.record is not None:
            self._bay.open_bay.emit("measure", self._bay.record.take.id)

    @Slot()
    def ask_report(self) -> None:
        """Ask in the column where to write the report of the chosen take."""
        self._ask(self.report_row, "one PDF of take {number}")

    @Slot()
    def ask_export(self) -> None:
        """Ask in the column where to write the chosen take."""
        self._ask(self.export_row, "take {number}: CSV, JSON, HDF5, WAV")

    @Slot()
    def ask_reference(self) -> None:
        """Ask in the column who makes the chosen take the reference, and why."""
        self._ask(self.reference_row, "of {procedure}")

    def _ask(self, row: AskRow, fact: str) -> None:
        record = self._bay.record
        if record is None:
            return
        for other in self._rows:
            if other is not row:
                other.leave()
        self._bay.show_record_page()
        row.ask(fact.format(number=record.number, procedure=record.take.procedure.name))

    @Slot()
    def copy(self) -> None:
        """Copy the record as a table; the trend where it has the keyboard; or the comparison."""
        bay = self._bay
        if bay.record is None:
            return
        if bay.trend.plot.canvas.hasFocus():
            QGuiApplication.clipboard().setText(bay.trend.plot.table())
            bay.tell(words.copied_words(bay.trend.plot.title))
            return
        if bay.comparing.with_(bay.record) is not None:
            QGuiApplication.clipboard().setText(bay.compared.stack.table())
            bay.tell(words.copied_words("What is compared"))
            return
        state = record_state(bay.record, software=SOFTWARE_VERSION)
        QGuiApplication.clipboard().setText(copied(bay.record, state))
        bay.tell(words.copied_words(f"Take {bay.record.number}"))

    @Slot()
    def copy_picture(self) -> None:
        """Copy the trend, or the curves that are compared, as a picture."""
        bay = self._bay
        is_compared = bay.comparing.with_(bay.record) is not None
        image = bay.compared.stack.to_image() if is_compared else bay.trend.plot.to_image()
        QGuiApplication.clipboard().setImage(image)
        bay.tell(words.pictured_words())

    @Slot()
    def find(self) -> None:
        """Go to the field, its text marked."""
        calibrations = self._bay.calibrations
        field = calibrations.page.field if calibrations.is_shown else self._bay.finder.field
        field.setFocus()
        field.select_all()

    @Slot()
    def look_again(self) -> None:
        """Look for what other stations kept meanwhile."""
        self._bay.say_anew()
        self._bay.listing.refresh()
        if self._bay.calibrations.is_shown:
            self._bay.calibrations.refresh()

    @Slot()
    def turn_difference(self) -> None:
        """Show one of the compared takes less the other, or both again."""
        if self._bay.comparing.with_(self._bay.record) is not None:
            self._bay.compared.difference.toggle()

    @Slot()
    def whole_range(self) -> None:
        """Show the whole range of the curves that are compared."""
        self._bay.compared.stack.whole_range()

    def _folder_row(self, title: str) -> AskRow:
        choose = QAction("Folder…", self)
        row = AskRow(title, [("Folder", "where to write it")], do="Write", more=[KeyButton(choose)])
        choose.triggered.connect(lambda: self._choose_folder(row, title=f"{title} to"))
        return row

    def _choose_folder(self, row: AskRow, *, title: str) -> None:
        field = row.fields[0]
        start = field.text() or str(Path.home())
        chosen = QFileDialog.getExistingDirectory(self._bay, title, start)
        if chosen:
            field.set_text(chosen)

    @Slot(object)
    def _report(self, answer: tuple[str, ...]) -> None:
        record = self._bay.record
        if record is None:
            return
        store, take_id, folder = self._bench.store, record.take.id, Path(answer[0])
        self._bay.tell(words.reporting_words(record.number))
        self._bench.worker.ask(
            "report in Records",
            lambda: report_stored(store, take_id=take_id, folder=folder),
            then=partial(self._show_reported, record.number),
            refused=lambda error: self.report_row.refuse(str(error)),
        )

    @Slot(object)
    def _export(self, answer: tuple[str, ...]) -> None:
        record = self._bay.record
        if record is None:
            return
        store, take_id, folder = self._bench.store, record.take.id, Path(answer[0])
        self._bench.worker.ask(
            "export in Records",
            lambda: export_stored(store, take_id=take_id, folder=folder),
            then=self._show_written,
            refused=self._refuse_export,
        )

    @Slot(object)
    def _set_reference(self, answer: tuple[str, ...]) -> None:
        record = self._bay.record
        if record is None:
            return
        store, take_id = self._bench.store, record.take.id
        by, why = answer
        self._bench.worker.ask(
            "reference in Records",
            lambda: store.set_reference(take_id, by=by, why=why),
            then=self._show_reference,
            refused=lambda error: self.reference_row.refuse(str(error)),
        )

    @Slot(bool)
    def _give_focus_back(self, is_shown: bool) -> None:  # noqa: FBT001 - Qt's
        if not is_shown and self._bay.isVisible():
            self._bay.table.setFocus()

    def _show_derived(self, derived: DerivedAgain) -> None:
        record = self._bay.record
        if record is None or derived.record.take.id != record.take.id:
            return
        state = again_state(derived.differences, day=f"{record.take.started_utc:%Y-%m-%d}")
        self._bay.panel.set_again(state)
        said = words.differs_words(record.number, told=state.told)
        self._bay.tell(said if state.differs else words.same_words(record.number))

    def _show_kept(self, kept: KeptAgain) -> None:
        self._bay.listing.chosen = kept.take_id
        self._bay.tell(words.kept_words(kept.number, old=kept.old))
        self._bench.store_changed.emit()

    def _show_written(self, written: Written) -> None:
        record = self._bay.record
        self.export_row.leave()
        if record is not None:
            said = words.exported_words(
                record.number, files=written.files, folder=str(written.folder)
            )
            self._bay.tell(said)

    def _show_reported(self, number: int, reported: Reported) -> None:
        self.report_row.leave()
        said = words.reported_words(
            number, file=str(reported.file), standing=reported.standing, holds=reported.holds
        )
        self._bay.tell(said)

    def _refuse_export(self, error: Exception) -> None:
        self.export_row.refuse(str(error))

    def _show_reference(self, _: None) -> None:
        record = self._bay.record
        self.reference_row.leave()
        if record is not None:
            said = words.reference_words(record.number, procedure=record.take.procedure.name)
            self._bay.tell(said)
        self._bench.store_changed.emit()

    def _refuse(self, error: str) -> None:
        self._bay.tell(words.refused_words(error))
