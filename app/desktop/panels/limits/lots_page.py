"""Lots and weeks: a control chart over a row for each, and what most often stood in the way."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.choice import Choice
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.plots.trend_plot import TrendPlot
from app.desktop.presenters.limits_lots import BarRow, LotsState

_CHOICE = 190  # px
_PLOT, _TABLES = 55, 45  # parts of the height
_NUMBER, _SHARE, _INTERVAL, _MOST = 56, 72, 140, 200
_GAP = 8


class LotsPage(QWidget):
    """Paints a LotsState; ``asked`` says that something else shall be counted."""

    asked = Signal()
    lot_pressed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.by = Choice("Put together", [("lot", "by lot"), ("week", "by week")])
        self.figure = Choice("Figure", [("", "not passed at once")])
        self.plot = TrendPlot("Lots", "")
        self._words = Words(ink=Ink.LABEL, px=12, wraps=True)
        self.table = LinesTable(
            (
                Column(title=""),
                Column(title="units", width=_NUMBER, align="right"),
                Column(title="at once", width=_SHARE, align="right"),
                Column(title="95 % interval", width=_INTERVAL, align="right", quiet=True),
                Column(title="most often", width=_MOST, quiet=True),
            ),
            name="Lots",
        )
        self.masks, self.findings = _pareto("Masks"), _pareto("Findings")
        self.by.chosen.connect(lambda _: self.asked.emit())
        self.figure.chosen.connect(lambda _: self.asked.emit())
        self.table.pressed_twice.connect(self.lot_pressed)
        self._lay_out()

    def set_figures(self, figures: Sequence[tuple[str, str]]) -> None:
        """Offer what can be charted beside the share that passed."""
        key = self.figure.key()
        self.figure.set_options([("", "not passed at once"), *figures])
        self.figure.set_key(key if key in dict(figures) else "")

    def set_state(self, state: LotsState) -> None:
        """Show other lots."""
        self.plot.set_words(state.title, state.unit)
        self.plot.set_hint(state.hint)
        self.plot.set_points(state.points)
        self.plot.set_limits(state.limits)
        self.plot.set_ticks(state.ticks)
        low, high = state.y or (None, None)
        self.plot.set_y(low, high)
        self._words.set_text(state.words)
        self.table.set_rows(
            [LineRow(cells=row.cells, key=row.key, mark=row.mark) for row in state.rows]
        )
        for table, bars in ((self.masks, state.masks), (self.findings, state.findings)):
            table.set_rows(_rows(bars))

    @property
    def words(self) -> str:
        """What the lots say."""
        return self._words.text()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(_GAP)
        for choice in (self.by, self.figure):
            choice.setMinimumWidth(_CHOICE)
            top.addWidget(choice)
        top.addStretch(1)
        pareto = QHBoxLayout()
        pareto.setSpacing(20)
        for title, table in (
            ("Masks that stopped units", self.masks),
            ("Likeliest causes", self.findings),
        ):
            column = QVBoxLayout()
            column.setSpacing(0)
            column.addWidget(SectionHead(title))
            column.addWidget(table, 1)
            pareto.addLayout(column, 1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addLayout(top)
        lines.addWidget(self.plot, _PLOT)
        lines.addWidget(self._words)
        lines.addWidget(self.table, _TABLES // 2)
        lines.addLayout(pareto, _TABLES // 2)


def _pareto(name: str) -> LinesTable:
    return LinesTable(
        (
            Column(title=""),
            Column(title="units", width=_NUMBER, align="right"),
            Column(title="share", width=_SHARE, align="right"),
            Column(title="together", width=_SHARE, align="right", quiet=True),
        ),
        name=name,
    )


def _rows(bars: Sequence[BarRow]) -> list[LineRow]:
    rows = [LineRow(cells=bar.cells, key=bar.cells[0]) for bar in bars]
    return rows or [LineRow(cells=("none so far", "", "", ""), key="")]
