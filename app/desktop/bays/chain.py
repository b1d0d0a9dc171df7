"""The Chain bay: devices and wiring, the chosen link, its history and how it stands."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QFileDialog, QStackedWidget, QVBoxLayout

from app.desktop.bays.bay import Bay
from app.desktop.controls.columns import Columns
from app.desktop.panels.chain.chain_edits import ChainEdits
from app.desktop.panels.chain.chain_file import ChainFile
from app.desktop.panels.chain.devices import Devices
from app.desktop.panels.chain.history import HistoryPanel
from app.desktop.panels.chain.keeping import Keeping
from app.desktop.panels.chain.link import LinkPanel
from app.desktop.panels.chain.presenting import Presenting
from app.desktop.panels.chain.proofs import Proofs
from app.desktop.panels.chain.set_up import SetUp
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.chain_levels import level_words
from app.desktop.presenters.chain_links import LINKS
from app.desktop.presenters.chain_words import Notice
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.strip_state import LINKS as TILES
from app.desktop.run_state import Failure, RunState
from app.desktop.turns import Turns
from hardware.soundcard.preflight import Forecast

if TYPE_CHECKING:
    from app.desktop.panels.chain.calibrating import Calibrating


class ChainBay(Bay):
    """Joins panels and bench; a calibration takes the place of its columns while it lasts."""

    name: ClassVar[str] = "chain"

    def _pieces(self) -> Iterator[None]:
        bench, actions = self.bench, self.actions_table
        self._is_entered, self._turns = False, Turns(self)
        self.set_up = SetUp(actions)
        yield
        self.history = HistoryPanel()
        yield
        self.link_panel = LinkPanel(actions)
        yield
        self.edits, self.devices = ChainEdits(bench, self), Devices(bench, self)
        self.file = ChainFile(bench, self)
        self.presenting = Presenting(
            bench,
            set_up=self.set_up,
            history=self.history,
            link=self.link_panel,
            edits=self.edits,
            devices=self.devices,
            file=self.file,
            say=self._say_of_chain,
            parent=self,
        )
        self.keeping = Keeping(
            bench,
            actions,
            history=self.history,
            presenting=self.presenting,
            say=self.say,
            parent=self,
        )
        self._kept_words = ""
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        self._columns = Columns(
            self.set_up, self.history, self.link_panel, pages=("Set up", "The link")
        )
        self._pages = QStackedWidget()
        self._pages.addWidget(self._columns)
        lines.addWidget(self._pages)
        self.proofs = Proofs(
            bench,
            actions,
            presenting=self.presenting,
            pages=self._pages,
            say=self.say,
            parent=self,
        )
        yield
        self._wire_panels()
        self._wire_bench()
        self._wire_actions()
        yield
        self.presenting.present()

    @property
    def shown_link(self) -> str | None:
        """The chosen link, where the strip has a tile for it."""
        return self.presenting.chosen if self.presenting.chosen in TILES else None

    def entered(self) -> None:
        """Look for devices the first time; hear what the inputs give."""
        self._is_entered = True
        if not self.devices.has_looked:
            self.devices.look()
        self.bench.listen(inputs=self.presenting.inputs_to_hear)
        self.presenting.present_words()
        # The day may be another than when it was left; not in the turn that turns to the bay.
        self._turns.take((self.presenting.present, self.presenting.follow_history))
        self.history.drift.setFocus()  # no field: letters act at once

    def left(self) -> None:
        """Forget what was refused and what the last act came to."""
        self._is_entered = False
        self.leave_inside()
        self.edits.forget_refusals()
        self.presenting.notice = None
        self.bench.listen(inputs=1)

    def leave_inside(self) -> bool:
        """Leave an open record, or a proof unchanged."""
        if self.keeping.is_open:
            self.keeping.close()
            return True
        return self.proofs.close()

    @property
    def calibrating(self) -> "Calibrating | None":
        """The calibration of the microphone, once it was asked for."""
        return self.proofs.calibrating

    @property
    def is_calibrating(self) -> bool:
        """Whether a calibration or another proof is under way."""
        return self.proofs.is_open

    def show_there(self, payload: object) -> None:
        """Show a link by its key."""
        self.leave_inside()
        if isinstance(payload, str) and payload in LINKS:
            self.presenting.show_link(payload)
            if self._columns.is_folded:
                self._columns.show_page(1)

    def _wire_panels(self) -> None:
        edits, card, wiring = self.edits, self.set_up.card, self.set_up.wiring
        card.card_chosen.connect(lambda key: edits.choose_card(key, found=self.devices.found or ()))
        card.output_chosen.connect(lambda name: edits.choose_side("output_name", name))
        card.input_chosen.connect(lambda name: edits.choose_side("input_name", name))
        card.host_chosen.connect(edits.choose_host)
        card.unit_chosen.connect(edits.choose_unit)
        card.real_time_toggled.connect(edits.set_real_time)
        name, ambient = self.set_up.name, self.set_up.ambient
        for fields in (name, card.rate, card.block, ambient, self.link_panel):
            fields.typed.connect(edits.type_value)
        wiring.opened.connect(self.presenting.open_channels)
        wiring.channel_chosen.connect(edits.wire)
        edits.changed.connect(self.presenting.present)
        edits.refused.connect(self._refuse)
        edits.link_asked.connect(self.presenting.show_link)
        self.keeping.shown.connect(self._show_record)
        self.keeping.left.connect(self._show_columns)
        self.proofs.began.connect(self._leave_columns)
        self.proofs.ended.connect(self._end_proof)
        self.proofs.kept.connect(self._tell_kept)
        self.devices.changed.connect(self._devices_changed)
        self.file.saved.connect(self._tell_saved)
        self.file.refused.connect(self._tell_not_saved)

    def _wire_bench(self) -> None:
        bench = self.bench
        bench.chain_changed.connect(self._chain_changed)
        bench.procedure_changed.connect(self._procedure_changed)
        bench.store_changed.connect(self.presenting.ask_history)
        bench.idle_levels.connect(self.presenting.hear)
        bench.run_changed.connect(self._run_changed)
        bench.levels_tried.connect(self._levels_tried)
        bench.run_failed.connect(self._run_failed)

    def _wire_actions(self) -> None:
        for action, act in (
            ("look_again", self._look_again),
            ("save", self.file.save),
            ("save_as", self.file.save_as),
            ("check_levels", self.bench.try_levels),
            ("response_table", self._ask_table),
        ):
            self.actions_table.of(action).triggered.connect(act)

    def _say_of_chain(self, words: BayWords) -> None:
        if not self.is_calibrating and not self.keeping.is_open:
            self.say(words)
        self.proofs.allow()

    @Slot()
    def _leave_columns(self) -> None:
        self.keeping.close()
        self.presenting.notice = None

    @Slot()
    def _end_proof(self) -> None:
        self._pages.setCurrentWidget(self._columns)
        self.presenting.present()
        self.history.drift.setFocus()

    @Slot()
    def _show_record(self) -> None:
        page = self.keeping.opened.page
        self._pages.addWidget(page)
        self._pages.setCurrentWidget(page)
        page.setFocus()

    @Slot()
    def _show_columns(self) -> None:
        self._pages.setCurrentWidget(self._columns)
        self.presenting.present()
        self.history.table.setFocus()

    @Slot(str, bool)
    def _tell_kept(self, kept: str, changes: bool) -> None:  # noqa: FBT001  a signal's value
        """Say what was kept; where the chain changed, put it into its file."""
        if changes and self.bench.wired.file is not None:
            self._kept_words = kept
            self.file.save()
        self.presenting.notice = Notice(
            mark=Mark.GOOD, happened=kept, next="check the levels, then measure."
        )
        self.presenting.present()

    @Slot(object)
    def _chain_changed(self) -> None:
        self.leave_inside()  # what was heard was heard through another one
        self.presenting.forecast, self.presenting.notice = None, None
        self.presenting.present()
        self.presenting.follow_history()
        if self._is_entered:
            self.bench.listen(inputs=self.presenting.inputs_to_hear)

    @Slot(object)
    def _procedure_changed(self) -> None:
        self.presenting.forecast = None
        self.presenting.present()

    @Slot()
    def _devices_changed(self) -> None:
        self.presenting.present()
        if self._is_entered:
            self.bench.listen(inputs=self.presenting.inputs_to_hear)

    def _look_again(self) -> None:
        if self.is_calibrating:
            return
        self.presenting.notice = None
        self.devices.look()

    @Slot()
    def _ask_table(self) -> None:
        """Ask for a microphone's response, and name it as the chain's file would."""
        file = self.bench.wired.file
        folder = file.parent if file is not None else Path.cwd()
        name, _ = QFileDialog.getOpenFileName(
            self, "Response of the microphone", str(folder), "Tables (*.csv *.txt)"
        )
        if not name:
            return
        table = Path(name)
        inside = table.is_relative_to(folder.absolute())
        shown = table.relative_to(folder.absolute()) if inside else table
        self.edits.type_value(("input", "pressure", "response"), str(shown))

    @Slot(object)
    def _run_changed(self, run: RunState) -> None:
        if run.is_active:
            self.presenting.notice = None
        if self._is_entered:
            self.presenting.present_words()

    @Slot(object)
    def _levels_tried(self, found: Forecast) -> None:
        next_ = "measure, in the next bay." if found.fits else "mend it, then check again."
        self.presenting.forecast = found
        self.presenting.notice = Notice(
            mark=Mark.GOOD if found.fits else Mark.CAUTION,
            happened=level_words(self.bench.chain.chain, found),
            next=next_,
        )
        self.presenting.present()

    @Slot(object)
    def _run_failed(self, failure: Failure) -> None:
        self._refuse(failure.sentence)

    @Slot(str)
    def _refuse(self, sentence: str) -> None:
        self.presenting.notice = Notice(
            mark=Mark.BAD, happened=f"Not done: {sentence.rstrip('.')}.", next="nothing changed."
        )
        self.presenting.present()

    @Slot(object)
    def _tell_saved(self, file: Path) -> None:
        self.presenting.notice = Notice(
            mark=Mark.GOOD,
            happened=f"{self._kept_words} It stands in {file.name}."
            if self._kept_words
            else f"Saved in {file.name}.",
            next="check the levels, then measure.",
        )
        self._kept_words = ""
        self.presenting.present()

    @Slot(str)
    def _tell_not_saved(self, sentence: str) -> None:
        self.presenting.notice = Notice(
            mark=Mark.BAD,
            happened=f"Not saved: {sentence.rstrip('.')}.",
            next="save it as another file, or open that one again.",
        )
        self.presenting.present()
