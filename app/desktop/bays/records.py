"""The Records bay: find takes, follow a figure over lots, open and defend a record."""

from collections.abc import Iterator
from typing import ClassVar

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.desktop.bays.bay import Bay
from app.desktop.controls.columns import Columns
from app.desktop.controls.key_button import KeyButton
from app.desktop.panels.records.calibrations import Calibrations
from app.desktop.panels.records.compare_view import CompareView
from app.desktop.panels.records.comparing import Comparing
from app.desktop.panels.records.finder import Finder
from app.desktop.panels.records.listing import Listing
from app.desktop.panels.records.look import Followed, Found
from app.desktop.panels.records.record_actions import NEEDS_A_RECORD, RecordActions
from app.desktop.panels.records.record_panel import RecordPanel
from app.desktop.panels.records.take_model import TakeModel
from app.desktop.panels.records.take_table import TakeTable, WholeRows
from app.desktop.panels.records.trend_view import TrendView
from app.desktop.presenters import records_words as words
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.records_compare import compared_state, no_again
from app.desktop.presenters.records_counts import CountsState
from app.desktop.presenters.records_query import RecordsQuery
from app.desktop.presenters.records_take import record_state
from app.desktop.presenters.records_trend import no_trend
from app.measure.differences import differences
from app.records.record import Record
from app.records.version import SOFTWARE_VERSION

_TABLE, _BELOW = 40, 60  # parts of the height
_LEFT_PX, _RIGHT_PX = (204, 272), (284, 336)


class RecordsBay(Bay):
    """Wires the panels to the store; one take of the list is always chosen.

    The table, the dots of the trend and another bay choose takes; the record at the right follows.
    """

    name: ClassVar[str] = "records"

    def _pieces(self) -> Iterator[None]:
        bench, actions = self.bench, self.actions_table
        self._is_entered = False
        self._told: BayWords | None = None
        self._total: int | None = None  # takes in the list, once they are counted
        self.record: Record | None = None
        self.listing = Listing(bench, self)
        self.comparing = Comparing()
        self.finder = Finder()
        yield
        self.model = TakeModel(self)
        self.table = TakeTable(self.model)
        yield
        self.trend = TrendView()
        yield
        self.compared = CompareView()
        self.below = QStackedWidget()
        yield
        self.calibrations = Calibrations(bench, actions, say=self.say, parent=self)
        yield
        self.panel = RecordPanel(actions)
        self.record_actions = RecordActions(self)
        self._lay_out()
        yield
        self._wire()
        self._show_nothing()

    def entered(self) -> None:
        """Look for what came meanwhile; the table takes the focus."""
        self._is_entered = True
        self.listing.refresh()
        if self.calibrations.is_shown:
            self.calibrations.show()
        else:
            self.table.setFocus()

    def left(self) -> None:
        """Give the place up; what was asked for in the column is let go."""
        self._is_entered = False
        self.record_actions.leave()

    def show_there(self, payload: object) -> None:
        """Show a take by its id, whatever the list was filtered by; a text: find it."""
        if not isinstance(payload, str):
            return
        self.leave_inside()
        self._told = None
        self.listing.chosen = payload
        self.listing.query = RecordsQuery()
        self.listing.refresh()

    def leave_inside(self) -> bool:
        """Go back from the calibrations to the takes."""
        if not self.calibrations.is_shown:
            return False
        self._turn()
        return True

    @Slot()
    def _turn(self) -> None:
        """Show calibrations instead of takes, or takes again."""
        if self.calibrations.is_shown:
            self.calibrations.hide()
            self._pages.setCurrentWidget(self._columns)
            self.table.setFocus()
            self.say_anew()
        else:
            self.record_actions.leave()
            self._pages.setCurrentWidget(self.calibrations.page)
            self.calibrations.show()
        self._allow()

    def choose(self, take_id: str) -> None:
        """Choose a take that the list may or may not show."""
        if self.record is None or self.record.take.id != take_id:
            self.record_actions.leave()
        self.trend.choose(take_id)
        self.listing.choose(take_id)

    def present(self) -> None:
        """Show the chosen record, or how it differs from the one that is held."""
        self._allow()
        pair = self.comparing.with_(self.record)
        if pair is None:
            self.panel.end_comparison()
            self.below.setCurrentWidget(self.trend)
            self.panel.set_record(
                None
                if self.record is None
                else record_state(self.record, software=SOFTWARE_VERSION)
            )
            return
        old, new = pair
        found = differences(old.take, new.take)
        self.panel.set_compared(compared_state(found, old=old.number, new=new.number))
        self.compared.set_pair(old, new)
        self.below.setCurrentWidget(self.compared)

    def _allow(self) -> None:
        """Let the keys act that have a record to act on."""
        can = self.record is not None and not self.calibrations.is_shown
        for action in NEEDS_A_RECORD:
            self.actions_table.of(action).setEnabled(can)

    def show_record_page(self) -> None:
        """Bring the record into sight where the columns are folded."""
        if self._columns.is_folded:
            self._columns.show_page(1)

    def tell(self, said: BayWords) -> None:
        """Say what an action did; it stands until a person does something else."""
        self._told = said
        self.say(said)

    def say_where(self) -> None:
        """Say what an action did, or else what is shown."""
        if self.calibrations.is_shown:
            self.calibrations.say_where()
            return
        if self._told is not None:
            self.say(self._told)
            return
        found, number = self.listing.latest, self.record.number if self.record else None
        if found is None:
            self.say(words.looking_words())
        elif self.comparing.held is not None:
            self._say_compared(self.comparing.held.number)
        elif self._total is None:
            return  # the counts will tell
        elif not self._total and self.listing.query.is_open:
            self.say(words.empty_words())
        else:
            query = self.listing.query
            self.say(words.list_words(self._total, query=query, number=number))

    def say_anew(self) -> None:
        """Say what is shown, whatever was told before."""
        self._told = None
        self.say_where()

    def _say_compared(self, held: int) -> None:
        pair = self.comparing.with_(self.record)
        if pair is None:
            self.say(words.pick_words(held))
        else:
            told = f"{self.panel.told} by more than their interval"
            self.say(words.compared_words(pair[1].number, old=held, told=told))

    @Slot(object)
    def _show_list(self, found: Found) -> None:
        columns = found.list_of.columns if found.list_of else ()
        count = len(found.lines) if found.total is None else found.total
        self._total = found.total
        self.model.set_list(count, columns=columns, first=found.lines)
        if not found.lines:
            self._show_nothing()
            return
        row = 0 if found.row is None else found.row
        if found.row is None:
            self.listing.chosen = found.lines[0].id
        self.table.choose(row)
        self.trend.set_choices(self.listing.choices, key=self.listing.figure)
        self.listing.follow()
        if self.record is None or self.record.take.id != self.listing.chosen:
            self.choose(str(self.listing.chosen))
        else:
            self.listing.choose(self.record.take.id)  # its reference or mark may have changed

    @Slot(object)
    def _show_counts(self, counts: CountsState) -> None:
        self.finder.set_counts(counts, query=self.listing.query)
        if self._total != counts.total:
            self._total = counts.total
            self.model.set_count(counts.total)
            self.say_where()

    def _show_nothing(self) -> None:
        self.record, self.listing.chosen = None, None
        self.comparing.held = None
        self.trend.set_choices((), key="")
        self.trend.set_trend(no_trend(listed=not self.listing.query.is_open))
        self.panel.set_again(no_again())
        self.present()
        self.say_where()

    @Slot(object)
    def _show_record(self, record: Record) -> None:
        is_other = self.record is None or self.record.take.id != record.take.id
        self.record = record
        if is_other:
            self.record_actions.forget_derived()
            self.panel.set_again(no_again())
        self.present()
        self.say_where()

    @Slot(object)
    def _show_trend(self, followed: Followed) -> None:
        self.trend.set_choices(self.listing.choices, key=followed.key)
        self.trend.set_trend(followed.state)
        self.trend.choose(self.listing.chosen)

    @Slot(str)
    def _refuse(self, sentence: str) -> None:
        self.tell(words.refused_words(sentence))

    @Slot(str)
    def _refuse_record(self, sentence: str) -> None:
        self.record = None  # not another take's beside the chosen line
        self.present()
        self.tell(words.refused_words(sentence))

    @Slot(str)
    def _go_to_line(self, take_id: str) -> None:
        self._told = None
        self.choose(take_id)

    @Slot(str)
    def _go_to_dot(self, take_id: str) -> None:
        row = self.model.row_of(take_id)
        self._go_to_line(take_id)
        if row is not None:
            self.table.choose(row)
        else:
            self.listing.refresh()  # its row comes with the list

    @Slot(str)
    def _find(self, text: str) -> None:
        self._ask(self.listing.query.with_text(text))

    @Slot(str)
    def _filter_lot(self, key: str) -> None:
        self._ask(self.listing.query.with_lot(key))

    @Slot(str)
    def _filter_verdict(self, key: str) -> None:
        self._ask(self.listing.query.with_verdict(key))

    @Slot(str)
    def _filter_kind(self, key: str) -> None:
        self._ask(self.listing.query.with_kind(key))

    def _ask(self, query: RecordsQuery) -> None:
        self._told = None
        self.listing.set_query(query)

    @Slot()
    def _follow_store(self) -> None:
        if not self._is_entered:  # otherwise it looks when it is entered
            return
        self.listing.refresh()
        if self.calibrations.is_shown:
            self.calibrations.refresh()

    @Slot(str)
    def _follow_figure(self, key: str) -> None:
        self.listing.follow(key)

    def _wire(self) -> None:
        listing, finder = self.listing, self.finder
        listing.found.connect(self._show_list)
        listing.counted.connect(self._show_counts)
        listing.page_found.connect(self.model.put_page)
        listing.record_found.connect(self._show_record)
        listing.followed.connect(self._show_trend)
        listing.refused.connect(self._refuse)
        listing.record_refused.connect(self._refuse_record)
        finder.text_edited.connect(self._find)
        finder.lot_chosen.connect(self._filter_lot)
        finder.verdict_chosen.connect(self._filter_verdict)
        finder.kind_chosen.connect(self._filter_kind)
        finder.left_down.connect(self.table.setFocus)
        self.model.page_wanted.connect(listing.fetch_page)
        self.table.chosen.connect(self._go_to_line)
        self.table.opened.connect(self.record_actions.open_in_measure)
        self.trend.take_pressed.connect(self._go_to_dot)
        self.trend.figure_chosen.connect(self._follow_figure)
        self.bench.store_changed.connect(self._follow_store)
        self.actions_table.of("calibrations").triggered.connect(self._turn)

    def _lay_out(self) -> None:
        self.below.addWidget(self.trend)
        self.below.addWidget(self.compared)
        middle = QWidget()
        lines = QVBoxLayout(middle)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(8)
        lines.addWidget(WholeRows(self.table), _TABLE)
        lines.addWidget(self.below, _BELOW)
        self._columns = Columns(
            self.finder,
            middle,
            self.panel,
            left_px=_LEFT_PX,
            right_px=_RIGHT_PX,
            pages=("Find", "Record"),
        )
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        self._pages = QStackedWidget()
        self._pages.addWidget(self._columns)
        self._pages.addWidget(self.calibrations.page)
        whole.addWidget(self._pages)
        room = self.finder.layout()
        assert room is not None  # it lays its parts out itself
        room.addWidget(KeyButton(self.actions_table.of("calibrations")))
