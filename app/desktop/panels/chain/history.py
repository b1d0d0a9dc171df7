"""The middle column: drift, response, calibrations, and what intervals and inputs come to."""

from collections.abc import Sequence
from datetime import date

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.lines_view import ROW
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.trend_data import Due, TrendLimits, TrendNote, TrendPoints
from app.desktop.plots.trend_plot import TrendPlot
from app.desktop.presenters.chain_drift import due_words, month_ticks, shown_span
from app.desktop.presenters.chain_history import History
from app.desktop.presenters.chain_levels import LevelRow
from app.desktop.presenters.chain_response import Response
from app.desktop.presenters.kept_drift import KeptDrift
from app.desktop.presenters.kept_rows import KeptRow
from app.desktop.presenters.mark import Mark

_GAP = 8
_DRIFT, _RESPONSE = 3, 2
_ROWS = 3  # calibrations in sight; the older ones scroll


class HistoryPanel(QWidget):
    """Paints what is known of the chosen link, day by day and figure by figure."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.drift = TrendPlot("Drift", "")
        self.response = FrequencyPlot("Response", "dB re 1 kHz, divided out of every level")
        self.table = LinesTable(
            (
                Column(title="Made", width=122),
                Column(title="Is", width=74),
                Column(title="Value", width=152),
                Column(title="Change", width=78, align="right"),
                Column(title="By", width=48, quiet=True),
                Column(title="With", quiet=True),
                Column(title="Certificate", width=102, quiet=True),
            ),
            name="Calibrations",
        )
        self.none_yet = Prose()
        self.budget = LinesTable(
            (Column(title="Source"), Column(title="Contributes", width=96, align="right")),
            name="Interval by source",
        )
        self.budget_head = SectionHead("")
        self.levels_head = SectionHead("Levels at full drive")
        self.levels = LinesTable(
            (
                Column(title="Input"),
                Column(title="Noise", width=56, align="right"),
                Column(title="Peak", width=56, align="right"),
                Column(title="Room", width=56, align="right"),
            ),
            name="Levels at full drive, dB",
        )
        self.levels_words = Prose()
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(_GAP)
        self._lines.addWidget(self.drift, _DRIFT)
        self._lines.addWidget(self.response, _RESPONSE)
        self.table_head = SectionHead("Calibrations")
        self._calibrations = _stacked(self.table_head, self.table, self.none_yet)
        self._lines.addWidget(self._calibrations)
        foot = QHBoxLayout()
        foot.setSpacing(20)
        self._sources = _stacked(self.budget_head, self.budget)
        foot.addWidget(self._sources, 1, Qt.AlignmentFlag.AlignTop)
        levels = _stacked(self.levels_head, self.levels, self.levels_words)
        foot.addWidget(levels, 1, Qt.AlignmentFlag.AlignTop)
        self._lines.addLayout(foot)
        self._lines.addStretch(0)

    def set_history(
        self, history: History, rows: Sequence[KeptRow], *, drift: KeptDrift, today: date
    ) -> None:
        """Show another link's calibrations."""
        self.drift.setVisible(history.can_be_proved)
        self._calibrations.setVisible(history.can_be_proved)
        self.drift.set_words(
            "Drift", f"{history.title.lower()}, {history.drift_unit} from the first, bars k = 2"
        )
        self._draw_drift(history, drift=drift, today=today)
        self.table.set_rows([_line(row) for row in rows])
        self.table.setFixedHeight(ROW * (1 + min(_ROWS, len(rows))))
        self.table.setVisible(bool(rows))
        has_kept = any(row.is_kept for row in rows)
        self.table_head.set_fact("Enter opens one, P prints its certificate" if has_kept else "")
        self.none_yet.set_text(_none_yet(history))
        self.none_yet.setVisible(not history.has_drift)

    def set_response(self, response: Response | None) -> None:
        """Show a microphone's table; None where there is none."""
        self.response.setVisible(response is not None)
        if response is None:
            return
        hz = np.array(response.hz)
        interval = np.full(hz.shape, response.interval_db) if response.interval_db else None
        self.response.set_lines(
            [
                PlotLine(
                    name="table",
                    x=hz,
                    y=np.array(response.db),
                    role=LineRole.TAKE,
                    take=0,
                    interval=interval,
                )
            ]
        )

    def set_budget(self, title: str, fact: str, rows: Sequence[tuple[str, str]]) -> None:
        """Show what intervals stand on; without rows, nothing."""
        self._sources.setVisible(bool(rows))
        self.budget_head.set_title(title)
        self.budget_head.set_fact(fact)
        self.budget.set_rows([LineRow(cells=row, key=row[0]) for row in rows])

    def set_levels(self, rows: Sequence[LevelRow], *, fact: str, words: str) -> None:
        """Show what a trial foretold."""
        self.levels_head.set_fact(fact)
        self.levels.set_rows(
            [
                LineRow(
                    cells=(row.name, row.noise, row.peak, row.room),
                    key=row.name,
                    mark=row.mark,
                    note=row.note,
                )
                for row in rows
            ]
        )
        self.levels.setVisible(bool(rows))
        self.levels_words.set_text(words)

    def _draw_drift(self, history: History, *, drift: KeptDrift, today: date) -> None:
        entries = history.entries
        self.drift.set_points(
            TrendPoints(
                x=np.array([one.day.toordinal() for one in entries], dtype=np.float64),
                y=np.array([one.drift for one in entries]),
                keys=tuple(one.day.isoformat() for one in entries),
                interval=np.array([one.drift_interval for one in entries]),
                joined=True,
            )
        )
        self.drift.set_notes(
            [
                TrendNote(x=one.day, y=one.drift, mark=Mark.BAD, words=one.words)
                for one in drift.refused
            ]
        )
        lower, upper = drift.limits or (None, None)
        self.drift.set_limits(TrendLimits(lower=lower, upper=upper, words=drift.words))
        low, high = shown_span(history, today=today)
        self.drift.set_x(low, high)
        self.drift.set_ticks(month_ticks(low, high))
        due = history.due_on
        self.drift.set_due(
            None if due is None else Due(x=float(due.toordinal()), words=due_words(due))
        )


def _none_yet(history: History) -> str:
    if history.entries:
        return "One calibration is known; drift shows from the second on."
    return "No calibration is known: type a day under Proved on."


def _line(row: KeptRow) -> LineRow:
    return LineRow(
        cells=(
            row.day,
            row.standing,
            row.value,
            row.change,
            row.by,
            row.instrument,
            row.certificate,
        ),
        key=row.key,
        mark=row.mark,
        note=row.note,
    )


def _stacked(*widgets: QWidget) -> QWidget:
    whole = QWidget()
    lines = QVBoxLayout(whole)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.setSpacing(2)
    for widget in widgets:
        lines.addWidget(widget)
    lines.addStretch(1)
    whole.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
    return whole
