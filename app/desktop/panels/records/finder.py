"""The left column: one field that finds, and counts that filter."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.records.counts_list import CountsList
from app.desktop.presenters.records_counts import CountsState
from app.desktop.presenters.records_query import RecordsQuery

_GAP = 10
_EXPLAINED_FROM = 560  # px of height; below, the explanation folds
_HOW = (
    "Parts of a serial, lot or procedure, a verdict, a take’s number, a day (07-29, 2026-07), a "
    "time (14:36); several words must all fit."
)


class Finder(QWidget):
    """What the list is filtered by.

    ``text_edited`` comes with every key; the other signals tell a count that was pressed, or an
    empty text for none. ``left_down`` tells that Down or Enter was pressed in the field.
    """

    text_edited = Signal(str)
    lot_chosen = Signal(str)
    verdict_chosen = Signal(str)
    kind_chosen = Signal(str)
    left_down = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = Field("Find", numeric=False, placeholder="serial, lot, day, verdict")
        self.field.edited.connect(self.text_edited)
        self.field.committed.connect(self._commit)
        self.lots = CountsList("Lots", grows=True)
        self.verdicts = CountsList("Verdicts")
        self.kinds = CountsList("Kinds")
        self._head = SectionHead("Find")
        self._lots_head = SectionHead("Lot")
        self._how = Prose(_HOW)
        self.lots.filtered.connect(self.lot_chosen)
        self.verdicts.filtered.connect(self.verdict_chosen)
        self.kinds.filtered.connect(self.kind_chosen)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addSpacing(5)
        lines.addWidget(self.field)
        lines.addSpacing(_GAP - 1)
        for head, counts in (
            (self._lots_head, self.lots),
            (SectionHead("Verdict"), self.verdicts),
            (SectionHead("Kind"), self.kinds),
        ):
            lines.addWidget(head)
            lines.addWidget(counts)
            lines.addSpacing(_GAP)
        lines.addWidget(self._how)
        lines.addStretch(1)

    def set_counts(self, state: CountsState, *, query: RecordsQuery) -> None:
        """Show the counts of a list."""
        self._head.set_fact(state.told)
        self._lots_head.set_fact(state.lots_told)
        self.lots.set_rows(state.lots, key=query.lot or "")
        self.verdicts.set_rows(state.verdicts, key=query.verdict.value if query.verdict else "")
        self.kinds.set_rows(state.kinds, key=query.kind.value if query.kind else "")
        if self.field.text() != query.text:
            self.field.set_text(query.text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go down from the field into the list."""
        if event.key() == Qt.Key.Key_Down and self.field.box.hasFocus():
            self.left_down.emit()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: object) -> None:
        """Fold the explanation where the window is low."""
        super().resizeEvent(event)  # type: ignore[arg-type]
        self._how.setVisible(self.height() >= _EXPLAINED_FROM)

    def _commit(self, text: str) -> None:
        self.text_edited.emit(text)
        self.left_down.emit()
