"""Keeps the Chain bay's panels true to the bench, the chosen link, and what was heard."""

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.panels.chain.chain_edits import ChainEdits
from app.desktop.panels.chain.chain_file import ChainFile
from app.desktop.panels.chain.devices import Devices
from app.desktop.panels.chain.history import HistoryPanel
from app.desktop.panels.chain.link import LinkPanel
from app.desktop.panels.chain.link_kept import LinkKept, link_kept
from app.desktop.panels.chain.set_up import SetUp
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.chain_budget import budget_fact, budget_rows, budget_title
from app.desktop.presenters.chain_card import CardState, card_state
from app.desktop.presenters.chain_history import History, history, records_of
from app.desktop.presenters.chain_levels import NOT_TRIED, level_rows, level_words
from app.desktop.presenters.chain_link import LinkCard, LinkField, link_card
from app.desktop.presenters.chain_links import (
    AMBIENT,
    BLOCK,
    LINKS,
    NAME,
    RATE,
    KeySpec,
    text_of,
)
from app.desktop.presenters.chain_response import response_of
from app.desktop.presenters.chain_wiring import channel_lines, wiring_note, wiring_rows
from app.desktop.presenters.chain_words import ChainSituation, Notice, chain_words
from app.desktop.presenters.kept_drift import kept_drift
from app.desktop.presenters.kept_rows import link_rows
from app.desktop.presenters.kept_words import in_force
from app.measure.events import State
from app.records.calibration_record import CalibrationRecord

if TYPE_CHECKING:
    from hardware.soundcard.preflight import Forecast


class Presenting(QObject):
    """Asks presenters for states and hands them to the panels; computes nothing itself.

    ``history_taken``: what the store knows of the chosen link is there.
    """

    history_taken = Signal()

    def __init__(
        self,
        bench: Bench,
        *,
        set_up: SetUp,
        history: HistoryPanel,
        link: LinkPanel,
        edits: ChainEdits,
        devices: Devices,
        file: ChainFile,
        say: Callable[[BayWords], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._edits, self._devices, self._file = bench, edits, devices, file
        self._set_up, self._history, self._link = set_up, history, link
        self._say = say
        self.chosen = "microphone" if bench.chain.chain.input.pressure else "sense"
        self.notice: Notice | None = None
        self.forecast: Forecast | None = None
        self._idle: tuple[float, ...] = ()
        self._kept = LinkKept()
        self._known: tuple[str, str] | None = None  # of which chain and link they are

    @property
    def inputs_to_hear(self) -> int:
        """How many inputs can be listened to; 1 where the card's are not known."""
        card = self._card()
        return card.input_channels if card.is_known else 1

    @property
    def shown_history(self) -> History:
        """What is known of the chosen link."""
        return history(
            self._bench.chain.chain, self.chosen, self._kept.forms, records=self.shown_records
        )

    @property
    def shown_records(self) -> tuple[CalibrationRecord, ...]:
        """The kept calibrations of the chosen link, the newest first."""
        return records_of(self.chosen, self._kept.records)

    @property
    def in_force(self) -> frozenset[str]:
        """Ids of those of them that the chain as it is now stands on."""
        return in_force(self.shown_records, chain=self._bench.chain.chain)

    def show_link(self, link: str) -> None:
        """Choose a link."""
        if link != self.chosen:
            self.chosen, self._kept, self._known = link, LinkKept(), None
            self._edits.forget_refusals()
            self.present()
            self.ask_history()

    @Slot()
    def present(self) -> None:
        """Show everything as it is now."""
        chain, draft = self._bench.chain.chain, self._edits.draft
        self._set_up.set_chain(self._field(NAME), file=self._file.words)
        self._set_up.card.set_state(self._card(), rate=self._field(RATE), block=self._field(BLOCK))
        self._set_up.wiring.set_rows(wiring_rows(chain, draft=draft), note=wiring_note(chain))
        self._set_up.ambient.set_fields([self._field(spec) for spec in AMBIENT])
        self._set_up.fit()
        self._present_link()
        self._present_middle()
        self.present_words()

    def present_words(self) -> None:
        """Say what is most pressing."""
        run = self._bench.run
        trial = None
        if run.phase is State.CHECKING and run.is_active:
            trial = run.played_s / run.whole_s if run.whole_s else 0.0
        self._say(
            chain_words(
                ChainSituation(
                    chain=self._bench.chain.chain,
                    link=self.chosen,
                    today=_today(),
                    is_saved=self._file.is_saved,
                    has_file=self._bench.wired.file is not None,
                    trouble=self._card().trouble,
                    draft=self._edits.draft,
                    notice=self.notice,
                    trial=trial,
                )
            )
        )

    @Slot()
    def follow_history(self) -> None:
        """Have the link's calibrations looked up, unless they are known: edits change none."""
        if self._known != (self._bench.chain.chain.name, self.chosen):
            self.ask_history()

    @Slot()
    def ask_history(self) -> None:
        """Have the link's calibrations looked up in the store."""
        store, chain = self._bench.store, self._bench.chain.chain.name
        table = LINKS[self.chosen].table
        self._known = (chain, self.chosen)
        self._bench.worker.ask(
            "calibrations of a link",
            lambda: link_kept(store, chain=chain, table=table),
            then=partial(self._take_history, self.chosen),
            refused=lambda _: None,  # the chain's own calibration is still shown
        )

    @Slot(object)
    def hear(self, dbfs: tuple[float, ...]) -> None:
        """Show what the inputs hear now."""
        self._idle = dbfs
        self._link.set_facts(self._link_card().facts)  # and no field: somebody may be typing
        if self._set_up.wiring.open_row is not None:
            self._list_channels()

    @Slot(str)
    def open_channels(self, key: str) -> None:
        """List the channels that a wire can go to."""
        self._list_channels(key)

    def _list_channels(self, key: str | None = None) -> None:
        wiring = self._set_up.wiring
        row = wiring.rows[key].row if key is not None else wiring.open_row
        if row is None:
            return
        card = self._card()
        count = card.output_channels if row.is_output else card.input_channels
        wiring.show_channels(
            channel_lines(self._bench.chain.chain, row, count=count, idle_dbfs=self._idle)
        )

    def _take_history(self, link: str, kept: LinkKept) -> None:
        if link == self.chosen:
            self._kept = kept
            self._present_history()
            self.history_taken.emit()

    def _present_history(self) -> None:
        told, records = self.shown_history, self.shown_records
        self._history.set_history(
            told,
            link_rows(told, records, in_force=self.in_force),
            drift=kept_drift(told, records),
            today=_today(),
        )

    def _present_link(self) -> None:
        self._link.set_card(self._link_card())

    def _link_card(self) -> LinkCard:
        return link_card(
            self._bench.chain.chain,
            self.chosen,
            today=_today(),
            draft=self._edits.draft,
            refused=self._edits.refusals,
            idle_dbfs=self._idle,
        )

    def _present_middle(self) -> None:
        chain, link = self._bench.chain.chain, self.chosen
        self._present_history()
        self._history.set_response(response_of(self._bench.chain) if link == "microphone" else None)
        self._history.set_budget(budget_title(link), budget_fact(link), budget_rows(chain, link))
        if self.forecast is None:
            self._history.set_levels((), fact="not tried", words=NOT_TRIED)
        else:
            self._history.set_levels(
                level_rows(chain, self.forecast),
                fact="dBFS",
                words=level_words(chain, self.forecast),
            )

    def _card(self) -> CardState:
        return card_state(
            self._bench.chain.chain,
            found=self._devices.found,
            units=self._devices.units,
            cannot_look=self._devices.cannot_look,
        )

    def _field(self, spec: KeySpec) -> LinkField:
        refused = self._edits.refusals.get(spec.place)
        if refused is not None:
            return LinkField(spec=spec, text=refused.text, refusal=refused.sentence)
        return LinkField(spec=spec, text=text_of(self._bench.chain.chain, spec))


def _today() -> date:
    return date.today()  # noqa: DTZ011  a calibration's day is a calendar day where one works
