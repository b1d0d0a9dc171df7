"""What the draft decides against what inspection found, and what that costs."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.section_head import SectionHead
from app.desktop.fonts import font
from app.desktop.palette import Tokens, tokens_of
from app.desktop.presenters.limits_trial import FOUND, TrialState

_ROW = 24
_RIGHT_EDGES = (150, 194, 252)  # px from the left, of the columns, in a column of 252
_WIDE = 252


class FoundTable(QWidget):
    """The section: head, counts, escapes and false rejects."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.table = _Table()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(SectionHead("Against what inspection found"))
        lines.addWidget(self.table)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def set_state(self, state: TrialState) -> None:
        """Show other counts."""
        self.table.put(state)


class _Table(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self._state: TrialState | None = None
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def put(self, state: TrialState) -> None:
        before, self._state = self._state, state
        if before is not None and _said(before) == _said(state):
            return
        told = [
            f"{row.verdict}: {', '.join(f'{n} {m}' for n, m in zip(row.cells, FOUND, strict=True))}"
            for row in state.counts
        ]
        told += [f"escapes {state.escapes}", f"false rejects {state.false_rejects}"]
        self.setAccessibleName("; ".join(told))
        if before is None or len(before.counts) != len(state.counts):
            self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        rows = 3 + (len(self._state.counts) if self._state is not None else 2)
        return QSize(_WIDE, _ROW * rows + 4)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        state = self._state
        if state is None:
            return
        painter, tokens = QPainter(self), tokens_of(self)
        _cells(painter, 0, texts=FOUND, tokens=tokens, width=self.width())
        for number, row in enumerate(state.counts, start=1):
            top = number * _ROW
            _label(painter, top, row.verdict, tokens=tokens)
            _cells(painter, top, texts=row.cells, tokens=tokens, width=self.width(), loud=row.loud)
            _hair(painter, top, tokens=tokens, width=self.width())
        for number, (label, value) in enumerate(
            (
                ("escapes: bad, passed", state.escapes),
                ("false rejects: good, stopped", state.false_rejects),
            ),
            start=len(state.counts) + 1,
        ):
            top = number * _ROW
            _label(painter, top, label, tokens=tokens)
            _hair(painter, top, tokens=tokens, width=self.width())
            painter.setFont(font(13))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(
                QRectF(0, top, self.width(), _ROW),
                Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
                value,
            )
        painter.end()


def _said(state: TrialState) -> tuple[object, ...]:
    return state.counts, state.escapes, state.false_rejects


def _label(painter: QPainter, top: int, text: str, *, tokens: Tokens) -> None:
    painter.setFont(font(13))
    painter.setPen(QColor(tokens.ink2))
    row = QRectF(0, top, _WIDE, _ROW)
    painter.drawText(row, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)


def _hair(painter: QPainter, top: int, *, tokens: Tokens, width: int) -> None:
    painter.fillRect(QRectF(0, top, width, 1), QColor(tokens.hair))


def _cells(
    painter: QPainter,
    top: int,
    *,
    texts: tuple[str, ...],
    tokens: Tokens,
    width: int,
    loud: tuple[bool, ...] | None = None,
) -> None:
    for place, (right, text) in enumerate(zip(_RIGHT_EDGES, texts, strict=True)):
        is_loud = loud is not None and loud[place]
        painter.setFont(font(12 if loud is None else 13, bold=is_loud))
        ink = tokens.ink3 if loud is None else tokens.ink if is_loud else tokens.ink2
        painter.setPen(QColor(ink))
        edge = right + width - _WIDE
        painter.drawText(
            QRectF(edge - 80, top, 80, _ROW),
            Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
            text,
        )
