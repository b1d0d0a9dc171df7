"""The middle column of a calibration: the level as it settles, the value, the drift."""

from datetime import date

import numpy as np
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.calibrate.follow import Followed
from app.desktop.panels.chain.calibrate_value import CalibrateValue
from app.desktop.plots.time_marks import Box
from app.desktop.plots.time_plot import TimePlot
from app.desktop.plots.trend_data import Due, NewPoint, TrendLimits, TrendNote, TrendPoints
from app.desktop.plots.trend_plot import TrendPlot
from app.desktop.presenters.calibrate_drift import DriftState
from app.desktop.presenters.calibrate_live import LiveState
from app.desktop.presenters.calibrate_result import ResultState
from app.desktop.presenters.chain_drift import due_words, month_ticks
from app.desktop.presenters.mark import Mark

_TRACE, _DRIFT = 3, 2
_GAP = 8


class CalibrateSeen(QWidget):
    """Paints what is heard and what it amounts to."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.trace = TimePlot(
            "Settling", "dB re 20 µPa, from the sensitivity that the chain states", x_unit="s"
        )
        self.value = CalibrateValue()
        self.drift = TrendPlot("Drift", "")
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(self.trace, _TRACE)
        lines.addWidget(self.value)
        lines.addWidget(self.drift, _DRIFT)

    def set_live(self, seen: Followed, state: LiveState, *, channel: int) -> None:
        """Show how far a coupling has come."""
        self.trace.set_trace(seen.time_s, seen.level_db, name=f"input {channel}", value=state.level)
        self.trace.set_x(*state.x)
        self.trace.set_y(*state.y)
        self.trace.set_now(state.now_s)
        box = state.box
        self.trace.set_boxes(
            []
            if box is None
            else [Box(start=box.start, end=box.end, low=box.low, high=box.high, words=box.words)]
        )
        self.value.set_value(state.value)

    def clear(self, hint: str) -> None:
        """Show that nothing is heard yet."""
        self.trace.set_trace(np.empty(0), np.empty(0))
        self.trace.set_boxes([])
        self.trace.set_now(None)
        self.trace.set_hint(hint)
        self.value.set_value("—")
        self.value.set_checks(())

    def set_result(self, state: ResultState) -> None:
        """Show what couplings amount to."""
        self.trace.set_now(None)
        self.value.set_value(state.value, state.interval, is_final=True)
        self.value.set_checks(state.checks)

    def set_drift(self, state: DriftState, *, due: date | None) -> None:
        """Show the microphone's history with the new value in it."""
        points = state.points
        self.drift.set_words("Drift", state.unit)
        self.drift.set_points(
            TrendPoints(
                x=np.array([one.day for one in points]),
                y=np.array([one.db for one in points]),
                keys=tuple(one.words for one in points),
                interval=np.array([one.interval_db for one in points]),
                joined=True,
            )
        )
        low, high = state.limits_db
        self.drift.set_notes(
            [
                TrendNote(x=one.day, y=one.db, mark=Mark.BAD, words=one.words)
                for one in state.refused
            ]
        )
        new = state.new
        self.drift.set_new(
            None
            if new is None
            else NewPoint(x=new.day, y=new.db, interval=new.interval_db, words=new.words)
        )
        begin, end = state.span
        # A day long past stands at the left, where these words would.
        is_past = due is not None and due.toordinal() < (begin + end) / 2
        words = "" if is_past else "refuse above"
        self.drift.set_limits(TrendLimits(lower=low, upper=high, words=words))
        if due is not None:
            end = max(end, due.toordinal() + 3.0)
        self.drift.set_x(begin, end)
        self.drift.set_ticks(month_ticks(begin, end))
        self.drift.set_due(
            None if due is None else Due(x=float(due.toordinal()), words=due_words(due))
        )
