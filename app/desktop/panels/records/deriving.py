"""Derives the chosen take again from its recording, and keeps the new figures where they differ."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.measure.again import Opened, derive_again, open_take
from app.measure.differences import Differences, differences
from app.measure.events import Finished
from app.records.record import Record


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DerivedAgain:
    """What came out, held against the record."""

    record: Record
    opened: Opened
    finished: Finished
    differences: Differences


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class KeptAgain:
    """The new take, and the number of the old one."""

    take_id: str
    number: int
    old: int


class Deriving(QObject):
    """``derived`` (DerivedAgain), then, if asked, ``kept`` (KeptAgain); ``refused`` (one line)."""

    derived = Signal(object)
    kept = Signal(object)
    refused = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._latest: DerivedAgain | None = None

    def pending(self, take_id: str | None) -> DerivedAgain | None:
        """Return what was derived of a take and differs, but is not kept."""
        latest = self._latest
        if latest is None or latest.record.take.id != take_id or latest.differences.are_none:
            return None
        return latest

    def derive(self, record: Record) -> None:
        """Read every figure anew, with the procedure and the calibrations that the take carries."""
        store = self._bench.store

        def work() -> DerivedAgain:
            opened = open_take(store, record.take.id)
            finished = derive_again(opened, store=store, keep=False)
            return DerivedAgain(
                record=record,
                opened=opened,
                finished=finished,
                differences=differences(record.take, finished.take),
            )

        self._latest = None
        self._bench.worker.ask(
            "derive again in Records", work, then=self._take_derived, refused=self._refuse
        )

    def keep(self, pending: DerivedAgain) -> None:
        """Keep what differs as a take of its own; the old one stays as it is."""
        store, take, opened = self._bench.store, pending.finished.take, pending.opened

        def work() -> KeptAgain:
            store.keep(take, capture=opened.capture, audio=opened.loaded.audio)
            return KeptAgain(
                take_id=take.id, number=store.number(take.id), old=pending.record.number
            )

        self._bench.worker.ask("keep in Records", work, then=self._take_kept, refused=self._refuse)

    def forget(self) -> None:
        """Let go of what is not kept."""
        self._latest = None
        self._bench.worker.forget("derive again in Records")

    def _take_derived(self, derived: DerivedAgain) -> None:
        self._latest = derived
        self.derived.emit(derived)

    def _take_kept(self, kept: KeptAgain) -> None:
        self._latest = None
        self.kept.emit(kept)

    def _refuse(self, error: Exception) -> None:
        self.refused.emit(str(error))
