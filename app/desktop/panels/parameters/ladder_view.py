"""Plays a ladder of levels, quietest first, and shows what the unit did on the way up."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.hearing import when_heard
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.parameters.fits import Fits
from app.desktop.panels.parameters.ladder_page import LadderPage
from app.desktop.panels.parameters.ladder_panel import LadderPanel
from app.desktop.panels.parameters.ladder_results import LadderResults
from app.desktop.presenters.figures import value_text
from app.desktop.presenters.ladder import ladder_state, levels_words, no_ladder
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_scene import View
from app.desktop.presenters.measure_words import words_said
from app.desktop.presenters.parameters_words import words_of_ladder
from app.errors import AppError
from app.measure.drive_level import drive_v_rms
from app.measure.events import Finished
from app.measure.ladder import Climbed, climb, ladder
from app.procedure.loaded import LoadedProcedure
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

_TOPIC = "ladder"


class LadderView(QObject):
    """Follows the shown take; ``said`` (BayWords) tells how far the ladder has come."""

    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        actions: Actions,
        plots: Plots,
        panel: LadderPanel,
        page: LadderPage,
        results: LadderResults,
        fits: Fits,
        is_loud: Callable[[], bool],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._bench, self._plots, self._fits = bench, plots, fits
        self._panel, self._page, self._results = panel, page, results
        self._is_loud, self._over = is_loud, parent
        self._steps, self._step_db = 5, 6.0
        self._to_play: list[LoadedProcedure] = []
        self._played = 0
        self._shown: Shown | None = None
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._play_next)
        actions.of("ladder").triggered.connect(self.measure)
        panel.typed.connect(self._type)
        plots.view_changed.connect(self._look)
        bench.procedure_changed.connect(self._tell_levels)
        bench.take_kept.connect(self._hear_kept)
        bench.run_failed.connect(self._break_off)
        bench.run_stopped.connect(self._break_off)
        self._tell_levels()
        self._show(None, "")

    @property
    def is_climbing(self) -> bool:
        """Whether levels are still to be played."""
        return bool(self._to_play)

    def show_take(self, shown: Shown | None) -> None:
        """Follow another take."""
        self._shown = shown
        self._look(self._plots.view)

    @Slot()
    def measure(self) -> None:
        """Play the ladder; asks before the loudest is loud at the ear."""
        if self._bench.run.is_active:
            return
        if self._bench.unit is None:
            self.said.emit(
                words_said(
                    "A ladder needs to know the unit: its takes are found by the serial.",
                    next_step="press V, type the serial at the left, then press L.",
                    mark=Mark.CAUTION,
                )
            )
            return
        when_heard(self._over, is_loud=self._is_loud(), then=self._begin)

    def _begin(self) -> None:
        self._to_play, self._played = list(self._rungs()), 0
        self._plots.set_view(View.LADDER)
        self._turn.start()

    @Slot()
    def _play_next(self) -> None:
        if self._to_play and not self._bench.run.is_active:
            self._bench.play(self._to_play[0])

    @Slot(object)
    def _hear_kept(self, finished: Finished) -> None:
        if not self._to_play:
            return
        self._to_play.pop(0)
        self._played += 1
        if not self._to_play:
            self._tell_levels()
            return
        # The row tells of the level that plays by now; this stands beside the key meanwhile.
        numbers = finished.take.numbers
        told = ", ".join(
            f"{name} {value_text(numbers[key].value, numbers[key].uncertainty)} {unit}"
            for key, name, unit in (("fs_hz", "fs", "Hz"), ("re_ohm", "Re", "Ω"))
            if key in numbers
        )
        whole = self._played + len(self._to_play)
        self._panel.told.set_text(f"Level {self._played} of {whole}: {told}. Esc stops.")
        self._turn.start()  # the run is done before its take is told

    @Slot()
    def _break_off(self, *_: object) -> None:
        self._to_play = []
        self._turn.stop()
        self._tell_levels()

    @Slot(object)
    def _look(self, view: View) -> None:
        if view is not View.LADDER or self._to_play:
            return
        if self._shown is None:
            self._show(None, "Play this unit at two levels or more.")
            return
        store, take, fits = self._bench.store, self._shown.take, self._fits
        second = self._bench.procedure.procedure.quantities.parameters.second_take or ""
        self._bench.worker.ask(
            _TOPIC,
            lambda: climb(store, like=take, fit_of=fits.of, but=second),
            then=self._take,
            refused=lambda error: self._show(None, _sentence(error)),
        )

    def _take(self, climbed: Climbed) -> None:
        self._show(climbed, "")
        if self._plots.view is View.LADDER:
            self.said.emit(words_of_ladder(climbed))

    def _show(self, climbed: Climbed | None, sentence: str) -> None:
        state = no_ladder(sentence) if climbed is None else ladder_state(climbed)
        self._page.set_state(state)
        self._page.stack.set_cursor(self._plots.cursor_hz)
        self._results.set_state(state)

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        field = self._panel.fields[key]
        before = self._steps, self._step_db
        try:
            value = typed_number(text, key=key, unit="dB")
            if key == "steps":
                self._steps = round(value)
            else:
                self._step_db = value
            self._rungs()
        except (ValueRefusedError, AppError) as error:
            self._steps, self._step_db = before
            field.refuse(_sentence(error))
            return
        field.accept()
        self._tell_levels()

    def _rungs(self) -> tuple[LoadedProcedure, ...]:
        bench = self._bench
        return ladder(
            bench.procedure, chain=bench.chain.chain, steps=self._steps, step_db=self._step_db
        )

    @Slot()
    def _tell_levels(self, *_: object) -> None:
        chain = self._bench.chain.chain
        volts = [drive_v_rms(one.procedure, chain=chain) or 0.0 for one in self._rungs()]
        self._panel.told.set_text(levels_words(volts))


def _sentence(error: Exception) -> str:
    words = str(error).split(": ", 1)[-1]
    return f"{words[:1].upper()}{words[1:]}."
