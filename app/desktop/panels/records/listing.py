"""Which list of takes is shown and which take is chosen in it; the worker looks everything up."""

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.panels.records.look import Followed, Found, ListOf, counted, follow, look, page
from app.desktop.presenters.records_counts import CountsState
from app.desktop.presenters.records_query import RecordsQuery
from app.desktop.presenters.records_table import TakeLine
from app.desktop.presenters.records_trend import TrendChoice, trend_choices
from app.records.record import Record

T = TypeVar("T")


class Listing(QObject):
    """Asks, and tells what was found.

    ``found`` (Found) comes with every list, then ``counted`` (CountsState); ``page_found`` (number,
    lines) with its further pages, ``record_found`` (Record) with the take that was chosen,
    ``followed`` (Followed) with a trend; ``record_refused`` and ``refused`` (one line) come instead
    of a record and of anything else.
    """

    found = Signal(object)
    counted = Signal(object)
    page_found = Signal(int, object)
    record_found = Signal(object)
    followed = Signal(object)
    refused = Signal(str)
    record_refused = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self.query = RecordsQuery()
        self.chosen: str | None = None  # id
        self.figure = ""  # key of the figure that is followed; empty: the first there is
        self._found: Found | None = None

    @property
    def choices(self) -> tuple[TrendChoice, ...]:
        """The figures that can be followed."""
        found = self._found
        return () if found is None else trend_choices(found.numbers, masks=found.masks)

    @property
    def latest(self) -> Found | None:
        """The list that is shown."""
        return self._found

    def set_query(self, query: RecordsQuery) -> None:
        """Ask for another list."""
        if query != self.query:
            self.query = query
            self.refresh()

    def refresh(self) -> None:
        """Look the list up anew; the chosen take stays chosen where it is in it."""
        store, query, chosen = self._bench.store, self.query, self.chosen
        self._bench.worker.forget("page of Records")
        self._ask(
            "list of Records",
            lambda: look(store, query=query, chosen=chosen),
            then=self._take_found,
        )
        self._ask("counts of Records", lambda: counted(store, query=query), then=self._take_counted)

    @Slot(int)
    def fetch_page(self, number: int) -> None:
        """Ask for a page of the list that is shown."""
        list_of = self._found.list_of if self._found else None
        if list_of is None:
            return
        store = self._bench.store

        def work() -> tuple[ListOf, int, tuple[TakeLine, ...]]:
            return list_of, number, page(store, list_of=list_of, number=number)

        self._ask("page of Records", work, then=self._take_page)

    def choose(self, take_id: str) -> None:
        """Ask for the record of a take."""
        self.chosen = take_id
        store = self._bench.store
        self._bench.worker.ask(
            "record",
            lambda: store.record(take_id),
            then=self._take_record,
            refused=self._refuse_record,
        )

    def follow(self, figure: str = "") -> None:
        """Ask for a figure over the list; without a key, for the one followed so far."""
        self.figure = figure or self.figure
        found, keys = self._found, [choice.key for choice in self.choices]
        if found is None or found.list_of is None or not keys:
            return
        key = self.figure if self.figure in keys else keys[0]
        store, query, masks = self._bench.store, found.list_of.query, found.masks
        procedure = found.lines[0].procedure
        self._ask(
            "trend of Records",
            lambda: follow(store, query=query, key=key, masks=masks, procedure=procedure),
            then=self._take_followed,
        )

    def _take_found(self, found: Found) -> None:
        self._found = found
        self.found.emit(found)

    def _take_counted(self, counts: CountsState) -> None:
        self.counted.emit(counts)

    def _take_page(self, arrived: tuple[ListOf, int, tuple[TakeLine, ...]]) -> None:
        list_of, number, lines = arrived
        if self._found is not None and list_of is self._found.list_of:
            self.page_found.emit(number, lines)

    def _take_record(self, record: Record) -> None:
        if record.take.id == self.chosen:
            self.record_found.emit(record)

    def _take_followed(self, followed: Followed) -> None:
        self.followed.emit(followed)

    def _ask(self, topic: str, work: Callable[[], T], *, then: Callable[[T], None]) -> None:
        self._bench.worker.ask(topic, work, then=then, refused=self._refuse)

    def _refuse_record(self, error: Exception) -> None:
        self.record_refused.emit(str(error))

    def _refuse(self, error: Exception) -> None:
        self.refused.emit(str(error))
