"""The Line bay: scan, measure, read the verdict from afar, put the unit where it belongs."""

from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import ClassVar

from PySide6.QtCore import Slot
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.bays.bay import Bay
from app.desktop.bays.line_settings import LineSettings
from app.desktop.bays.line_standing import Standing, look_up, newest_lot
from app.desktop.bench import Bench
from app.desktop.controls.columns import GAP, MARGIN
from app.desktop.panels.line.last_units import LastUnits
from app.desktop.panels.line.side import Side
from app.desktop.panels.line.verdict_panel import VerdictPanel
from app.desktop.presenters.line_export import FORMATS, exported, not_exported, take_folder
from app.desktop.presenters.line_panel import (
    PanelState,
    failed_panel,
    measuring_panel,
    stale_panel,
    stopped_panel,
    take_panel,
    waiting_panel,
)
from app.desktop.presenters.line_serial import (
    hint_of_lot,
    while_measuring,
    while_stale,
    why_doubted,
    why_refused,
)
from app.desktop.presenters.line_side import counts_state, last_units, reference_state
from app.desktop.presenters.line_why import no_why, why_state
from app.desktop.presenters.line_words import line_words
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_stale import StaleLink, stale_on
from app.desktop.run_state import Failure, RunState
from app.measure.events import Finished
from app.records.take import Take
from app.report.export import export_take
from dsp.conformity.verdict import Verdict

_SIDE_PX, _WIDE_SIDE_PX, _WIDE_FROM = 316, 400, 1600
_TOP, _BOTTOM = 6, 12


class LineBay(Bay):
    """Joins serial field, verdict panel, counts and last units to the bench."""

    name: ClassVar[str] = "line"

    def __init__(
        self,
        bench: Bench,
        actions: Actions,
        parent: QWidget | None = None,
        *,
        settings: LineSettings | None = None,
    ) -> None:
        super().__init__(bench, actions, parent)
        self._settings = settings or LineSettings()
        self._standing: Standing | None = None
        self._last: Take | None = None  # whose verdict the panel shows
        self._card_lost = False
        self._doubted = ""  # the serial that was scanned last
        self.panel, self.last_units, self.side = VerdictPanel(), LastUnits(), Side()
        self.side.export.set_folder(self._settings.export_folder, is_on=self._settings.exports)
        self._lay_out()
        self._wire()
        self._follow_chain()

    def entered(self) -> None:
        """Look the lot up, and wait for the scanner."""
        if self.bench.lot is None and self._standing is None:
            self.bench.worker.ask(
                "line.lot",
                partial(newest_lot, self.bench.store),
                then=self._take_lot,
                refused=self._refuse,
            )
        self._follow_specimen()
        self._follow_chain()
        self.side.serial.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Give letters that nobody takes to the serial field: a scanner must never miss it."""
        if event.text().isprintable() and event.text():
            self.side.serial.setFocus()
            QApplication.sendEvent(self.side.serial.box, event)
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Widen the right column once."""
        super().resizeEvent(event)
        wide = event.size().width() >= _WIDE_FROM
        self.side.setFixedWidth(_WIDE_SIDE_PX if wide else _SIDE_PX)

    @Slot()
    def measure(self) -> None:
        """Measure what stands in the serial field; nothing in it: the same unit, if that helps."""
        serial = self.side.serial.serial
        if self.bench.run.is_active:
            self._refuse_serial(while_measuring(serial, measured=self.bench.run.unit))
            return
        if (stale := self._stale()) is not None:
            self._refuse_serial(while_stale(serial, called=stale.called))
            return
        if not serial and self.panel.state.can_repeat and self.bench.unit:
            serial = self.bench.unit
        if complaint := why_refused(serial) or self._doubt(serial):
            self._refuse_serial(complaint)
            return
        self.side.serial.clear()
        self._card_lost = False
        self.bench.set_specimen(unit=serial, lot=self.side.lot.text().strip() or None)
        self.bench.play()

    def _doubt(self, serial: str) -> str:
        """Return why a unit may lie on the wrong bench; nothing when it is scanned again."""
        again, self._doubted = serial == self._doubted, serial
        hint = self.side.serial.hint
        return "" if again else why_doubted(serial, hint=hint, lot=self.bench.lot)

    def _refuse_serial(self, sentence: str) -> None:
        self.side.serial.refuse(sentence)
        self.side.serial.select_all()  # the next scan takes its place

    def _show(self, panel: PanelState) -> None:
        if panel != self.panel.state:
            self.panel.set_state(panel)
        self._say()

    def _say(self) -> None:
        self.say(
            line_words(
                self.panel.state,
                procedure=self.bench.procedure.procedure,
                limits=None if self._standing is None else self._standing.limits,
                run=self.bench.run,
                typed=self.side.serial.text(),
                card_lost=self._card_lost,
                stale=self._stale(),
            )
        )

    def _stale(self) -> StaleLink | None:
        """Return the link that is longest past its term; no unit is measured with it."""
        found = stale_on(self.bench.chain.chain, on=datetime.now(UTC).date())
        return found[0] if found else None

    @Slot()
    def _follow_chain(self) -> None:
        """Wait for a unit, or for the technician; a verdict stays until the next scan."""
        if self.bench.run.is_active:
            return
        if (stale := self._stale()) is not None:
            self._show(stale_panel(stale))
        elif self.panel.state.mark is Mark.STALE:
            self.side.serial.accept()
            self._show(waiting_panel())
        else:
            self._say()

    @Slot(object)
    def _follow_run(self, run: RunState) -> None:
        if run.makes_take:
            self._show(measuring_panel(run))
        elif not run.number:
            self._say()

    @Slot(object)
    def _take_kept(self, finished: Finished) -> None:
        take, before = finished.take, self._last
        again = (
            before is not None
            and before.unit == take.unit
            and before.verdict is Verdict.NOT_DECIDED
        )
        self._last = take
        number, now = self.bench.run.number, _now()
        reference = None if self._standing is None else self._standing.reference
        self._show(take_panel(take, number=number, now=now, again=again))
        self.side.why.set_state(why_state(take, number=number, reference=reference))
        self._export(take)

    @Slot()
    def _stopped(self) -> None:
        if not self.bench.run.number:
            return  # a trial, a proof, a residual: none of a unit's
        self.side.why.set_state(no_why())
        self._show(stopped_panel(self.bench.run))

    @Slot(object)
    def _failed(self, failure: Failure) -> None:
        if not self.bench.run.number:
            return
        self._card_lost = failure.card_lost
        takes = 0 if self._standing is None else self._standing.takes
        self.side.why.set_state(no_why())
        self._show(failed_panel(failure, unit=self.bench.run.unit, safe=takes))

    @Slot()
    def _look_again(self) -> None:
        self.bench.look_again()
        self._card_lost = False
        self._look_up()
        self._say()

    @Slot(str)
    def _set_lot(self, lot: str) -> None:
        self.bench.set_specimen(unit=self.bench.unit, lot=lot.strip() or None)
        self.side.serial.setFocus()

    def _take_lot(self, lot: str | None) -> None:
        if lot and self.bench.lot is None and not self.side.lot.text():
            self.bench.set_specimen(unit=self.bench.unit, lot=lot)

    @Slot()
    def _follow_specimen(self) -> None:
        self.side.lot.set_text(self.bench.lot or "")
        self._look_up()

    @Slot()
    def _look_up(self) -> None:
        self.bench.worker.ask(
            "line.standing",
            partial(
                look_up,
                self.bench.store,
                lot=self.bench.lot,
                procedure=self.bench.procedure.procedure,
                now=_now(),
            ),
            then=self._stand,
            refused=self._refuse,
        )

    def _stand(self, standing: Standing) -> None:
        self._standing = standing
        procedure = self.bench.procedure.procedure
        self.side.counts.set_state(counts_state(standing.counts, lot=self.bench.lot))
        self.side.reference.set_state(
            reference_state(standing.reference, procedure=procedure, now=_now())
        )
        self.last_units.set_units(last_units(standing.last))
        self.side.serial.set_hint(hint_of_lot(one.unit for one in standing.last))
        self._say()

    def _refuse(self, error: Exception) -> None:
        self.side.serial.refuse(f"{str(error).rstrip('.')}.")

    @Slot()
    def _typed(self) -> None:
        if self.side.serial.is_refused:
            self.side.serial.accept()
        self._say()

    @Slot(object)
    def _choose_export(self, folder: Path | None) -> None:
        self._settings.set_export(folder)
        self.side.export.set_folder(self._settings.export_folder, is_on=folder is not None)
        self.side.serial.setFocus()

    def _export(self, take: Take) -> None:
        folder = self._settings.export_folder
        if folder is None or not self._settings.exports:
            return
        place = take_folder(take, folder=folder)
        self.bench.worker.ask(
            f"line.export.{take.id}",  # no take may push another one out
            partial(export_take, take, folder=place, formats=FORMATS),
            then=lambda files: self.side.export.tell(exported(place, files=len(files))),
            refused=lambda error: self.side.export.tell(not_exported(error), refused=True),
        )

    @Slot(str)
    def _open_take(self, take_id: str) -> None:
        self.open_bay.emit("measure", take_id)

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.setSpacing(0)
        left.addWidget(self.panel, 1)
        left.addWidget(self.last_units)
        line = QHBoxLayout(self)
        line.setContentsMargins(MARGIN, _TOP, MARGIN, _BOTTOM)
        line.setSpacing(GAP)
        line.addLayout(left, 1)
        line.addWidget(self.side)
        self.side.setFixedWidth(_SIDE_PX)

    def _wire(self) -> None:
        bench, side = self.bench, self.side
        side.serial.box.returnPressed.connect(self.measure)
        side.serial.box.textChanged.connect(self._typed)
        side.lot.committed.connect(self._set_lot)
        side.export.chosen.connect(self._choose_export)
        self.last_units.pressed.connect(self._open_take)
        self.actions_table.of("line.measure").triggered.connect(self.measure)
        self.actions_table.of("look_again").triggered.connect(self._look_again)
        bench.run_changed.connect(self._follow_run)
        bench.take_kept.connect(self._take_kept)
        bench.run_failed.connect(self._failed)
        bench.run_stopped.connect(self._stopped)
        bench.store_changed.connect(self._look_up)
        bench.specimen_changed.connect(self._follow_specimen)
        bench.procedure_changed.connect(self._look_up)
        bench.chain_changed.connect(self._follow_chain)


def _now() -> datetime:
    return datetime.now().astimezone()
