"""Follows a run: curves grow while it plays, and what it ends in is shown."""

from PySide6.QtCore import QObject, QTimer, Slot

from app.desktop.bench import Bench
from app.desktop.panels.measure.again import Again
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.measure.presenting import Presenting
from app.desktop.panels.measure.shown_takes import ShownTakes
from app.desktop.presenters.measure_live import LiveCurves, live_lines, with_readings
from app.desktop.run_state import Failure, RunState
from app.measure.events import Finished


class RunView(QObject):
    """Hears the bench; paints what grows at every report, and everything at every new phase.

    Reports that came while the window was busy are painted as one, after the first of them.
    """

    def __init__(
        self,
        bench: Bench,
        *,
        takes: ShownTakes,
        again: Again,
        plots: Plots,
        presenting: Presenting,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._takes, self._again = bench, takes, again
        self._plots, self._presenting = plots, presenting
        self._phase, self._was_active = bench.run.phase, bench.run.makes_take
        self._live = LiveCurves(number=0)
        self._has_grown = False  # since it was painted
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._catch_up)
        bench.run_changed.connect(self._hear)
        bench.take_kept.connect(self._hear_kept)
        bench.run_failed.connect(self._hear_failed)
        bench.run_stopped.connect(self._hear_stopped)

    @Slot(object)
    def _hear(self, run: RunState) -> None:
        begins, self._was_active = run.makes_take and not self._was_active, run.makes_take
        if begins:
            self._begin(run)
        changes, self._phase = run.phase is not self._phase, run.phase
        if begins:
            self._presenting.present_in_turns()
        elif run.makes_take and changes:  # the plots stand still meanwhile
            self._presenting.present_result()
            self._presenting.present_ribbon()
        if run.live:
            self._live = with_readings(self._live, run.live)
        if run.makes_take and not begins:
            if self._turn.isActive():
                self._has_grown = True
            else:
                self._turn.start()
                self._grow()

    @Slot()
    def _catch_up(self) -> None:
        if self._has_grown:
            self._grow()

    def _grow(self) -> None:
        self._has_grown = False
        self._presenting.present_words()
        if self._live.now_hz is not None:
            self._plots.set_live(live_lines(self._live))
            self._plots.set_cursor(self._live.now_hz, self._live.now_text)

    def _begin(self, run: RunState) -> None:
        self._live = LiveCurves(number=run.number)
        showing = self._presenting
        showing.move_on()
        showing.failure, showing.has_stopped, showing.gated = None, False, None

    def _settle(self) -> None:
        self._turn.stop()
        self._has_grown = False
        self._live = LiveCurves(number=0)  # the plots lose theirs with what is shown next

    @Slot(object)
    def _hear_kept(self, finished: Finished) -> None:
        self._settle()
        self._presenting.move_on()
        self._presenting.new_id = finished.take.id
        self._again.remember(finished)
        self._takes.add(finished, number=self._bench.run.number)

    @Slot(object)
    def _hear_failed(self, failure: Failure) -> None:
        if not self._bench.run.number:
            return  # of a trial, a proof, a residual: none of a take
        self._settle()
        self._presenting.failure = failure
        self._presenting.failed_number = self._bench.run.number
        self._presenting.present()

    @Slot()
    def _hear_stopped(self) -> None:
        if not self._bench.run.number:
            return
        self._settle()
        self._presenting.has_stopped = True
        self._presenting.present()
