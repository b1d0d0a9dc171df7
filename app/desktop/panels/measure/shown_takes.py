"""The takes on the plots: fetched in the worker, kept while they are shown."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_selection import Selection, show, toggle
from app.measure.events import Finished
from app.records.find_takes import TakeSummary
from app.records.store import Store
from app.records.take import Take

RIBBON = 24  # as many tiles as the widest window has room for


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Numbered:
    take: Take
    number: int


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Found:
    summaries: tuple[TakeSummary, ...]
    count: int
    reference: _Numbered | None


class ShownTakes(QObject):
    """Which takes are on the plots, and the ribbon's.

    ``changed`` tells that what is shown or lies over it is another; ``ribbon_changed`` that takes
    came to the store, or another became the reference; ``refused`` (one line) that a take could
    not be read.
    """

    changed = Signal()
    ribbon_changed = Signal()
    refused = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self.selection = Selection()
        self.summaries: tuple[TakeSummary, ...] = ()
        self.count = 0
        self._known: dict[str, _Numbered] = {}
        self._reference: _Numbered | None = None

    @property
    def shown(self) -> tuple[Shown, ...]:
        """Takes on the plots that have arrived, the chosen one first."""
        slots = sorted(self.selection.slots.items(), key=lambda item: item[1])
        return tuple(
            Shown(take=known.take, number=known.number, slot=slot)
            for take_id, slot in slots
            if (known := self._known.get(take_id)) is not None
        )

    @property
    def chosen(self) -> Shown | None:
        """The take that is shown, once it has arrived."""
        first = self.shown[:1]
        return first[0] if first and first[0].slot == 0 else None

    @property
    def reference(self) -> Shown | None:
        """The reference take of the chosen take's procedure, or of the one on the bench."""
        one = self._reference
        return None if one is None else Shown(take=one.take, number=one.number, slot=None)

    def show(self, take_id: str) -> None:
        """Show a take."""
        self._select(show(self.selection, take_id))

    def toggle(self, take_id: str) -> None:
        """Lay a take over the one shown, or take it away."""
        self._select(toggle(self.selection, take_id))

    def add(self, finished: Finished, *, number: int) -> None:
        """Show a take that has just been made or derived, without fetching it."""
        take = finished.take
        self._known[take.id] = _Numbered(take=take, number=number)
        self.selection = show(self.selection, take.id)
        self.changed.emit()

    def refresh(self) -> None:
        """Look what the store holds by now."""
        store, procedure = self._bench.store, self._procedure()
        self._bench.worker.ask(
            "ribbon of Measure",
            lambda: _find(store, procedure=procedure),
            then=self._take_found,
            refused=self._refuse,
        )

    def _procedure(self) -> str:
        chosen = self.chosen
        return (chosen.take.procedure if chosen else self._bench.procedure.procedure).name

    def _select(self, selection: Selection) -> None:
        self.selection = selection
        missing = [one for one in selection.slots if one not in self._known]
        if not missing:
            self._settle()
            return
        store = self._bench.store
        self._bench.worker.ask(
            "takes of Measure",
            lambda: _fetch(store, missing),
            then=self._take_fetched,
            refused=self._refuse,
        )

    def _take_fetched(self, fetched: dict[str, _Numbered]) -> None:
        self._known |= fetched
        self._settle()

    def _settle(self) -> None:
        keep = self.selection.slots
        self._known = {take_id: one for take_id, one in self._known.items() if take_id in keep}
        self.changed.emit()
        self.refresh()  # another procedure has another reference

    def _take_found(self, found: _Found) -> None:
        self.summaries, self.count = found.summaries, found.count
        before, self._reference = self._reference, found.reference
        self.ribbon_changed.emit()
        if _id(before) != _id(found.reference):
            self.changed.emit()

    def _refuse(self, error: Exception) -> None:
        self.refused.emit(str(error))


def _id(one: _Numbered | None) -> str | None:
    return None if one is None else one.take.id


def _find(store: Store, *, procedure: str) -> _Found:
    reference = store.reference(procedure)
    return _Found(
        summaries=store.find(limit=RIBBON),
        count=store.count(),
        reference=None
        if reference is None
        else _Numbered(take=reference, number=store.number(reference.id)),
    )


def _fetch(store: Store, ids: Sequence[str]) -> dict[str, _Numbered]:
    return {one: _Numbered(take=store.take(one), number=store.number(one)) for one in ids}
