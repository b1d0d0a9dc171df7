"""The parameters of the take that is shown: fitted in the worker, painted as card and plots."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.panels.measure.again import Again
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.parameters.card import ParameterCard
from app.desktop.panels.parameters.correlation_table import CorrelationTable
from app.desktop.panels.parameters.fit_page import FitPage
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_scene import View
from app.desktop.presenters.parameters_card import (
    candidate_lines,
    card_state,
    drawn_facts,
    no_card,
)
from app.desktop.presenters.parameters_correlation import correlation_state
from app.desktop.presenters.parameters_fit import fit_impedance_plot, loci, residual_plot
from app.measure.unit_fit import UnitFit, fit_take
from dsp.parameters.estimates import Estimates, Spread
from dsp.parameters.small_signal import LE_HZ, small_signal

DRAWS = 10_000
_SEED = 20_190_101  # the same draws every time: a figure repeats
_TOPIC, _DRAWS_TOPIC = "parameters", "draws of parameters"
_SOON = "Impedance and its model appear here once a take is shown."
_NO_TAKE = "Play a unit, or press a take below: its parameters appear here."


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Found:
    number: int
    fitted: UnitFit
    figures: Estimates


class ParametersView(QObject):
    """Follows the shown take; asks only while somebody looks.

    ``found`` (Estimates or None) tells that the figures are others.
    """

    found = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        again: Again,
        plots: Plots,
        page: FitPage,
        card: ParameterCard,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._again, self._plots = bench, again, plots
        self._page, self._card = page, card
        self.correlation = CorrelationTable()
        self._shown: Shown | None = None
        self._asked = ""
        self._found: _Found | None = None
        plots.view_changed.connect(self._look)
        self._paint_none(_NO_TAKE)

    @property
    def figures(self) -> Estimates | None:
        """The figures that are shown."""
        return None if self._found is None else self._found.figures

    def connect_actions(self, actions: Actions) -> None:
        """Let keys ask for what is seldom needed."""
        actions.of("monte_carlo").triggered.connect(self.draw)
        actions.of("correlation").triggered.connect(self.turn_correlation)

    def show_take(self, shown: Shown | None) -> None:
        """Follow another take."""
        self._shown = shown
        self._look(self._plots.view)

    @Slot()
    def draw(self) -> None:
        """Find intervals by draws, or go back to those from slopes."""
        found = self._found
        if found is None:
            return
        if self._card.draws.facts:
            self._card.set_draws(())
            return

        def work() -> Spread:
            return found.figures.simulate(draws=DRAWS, chance=np.random.default_rng(_SEED))

        self._ask(_DRAWS_TOPIC, work, then=self._take_spread)

    @Slot()
    def turn_correlation(self) -> None:
        """Show how figures hang together in place of the plots, or the plots again."""
        if self._found is None or self._plots.view is not View.PARAMETERS:
            return
        self._plots.show_instead(self.correlation)

    @Slot(object)
    def _look(self, view: View) -> None:
        if view not in {View.PARAMETERS, View.BOX}:
            return
        shown = self._shown
        if shown is None:
            self._asked = ""
            self._paint_none(_NO_TAKE)
            return
        if self._asked == shown.take.id:
            return
        self._asked = shown.take.id
        store, opener, number = self._bench.store, self._again.opener, shown.number

        def work() -> _Found:
            fitted = fit_take(opener.opened(store, shown.take.id))
            return _Found(number=number, fitted=fitted, figures=small_signal(fitted.fit))

        self._card.set_stale(stale=True)
        self._ask(_TOPIC, work, then=self._take)

    def _ask(self, topic: str, work: Callable[[], object], *, then: Callable[..., None]) -> None:
        self._bench.worker.ask(topic, work, then=then, refused=self._refuse)

    def _take(self, found: _Found) -> None:
        self._found = found
        self._paint()
        self.found.emit(found.figures)

    def _take_spread(self, spread: Spread) -> None:
        self._card.set_draws(drawn_facts(spread, le_hz=LE_HZ))

    def _refuse(self, error: Exception) -> None:
        self._paint_none(f"{str(error)[:1].upper()}{str(error)[1:]}.")

    def _paint_none(self, sentence: str) -> None:
        self._found = None
        page = self._page
        page.show_plot(page.impedance, fit_impedance_plot(None, hint=_SOON))
        page.show_plot(page.left_over, residual_plot(None, hint="What the model leaves."))
        page.nyquist.set_loci(())
        page.nyquist.set_hint("Reactance over resistance.")
        page.set_tried(())
        page.set_facts(())
        self._card.set_stale(stale=False)
        self._card.set_state(no_card(sentence))
        self._card.set_draws(())
        self.found.emit(None)

    def _paint(self) -> None:
        found = self._found
        if found is None:
            return
        page, fitted = self._page, found.fitted
        page.show_plot(page.impedance, fit_impedance_plot(fitted, number=found.number))
        page.show_plot(page.left_over, residual_plot(fitted))
        page.nyquist.set_loci(loci(fitted, number=found.number))
        page.set_tried(candidate_lines(fitted.fit))
        page.stack.align()
        page.set_cursor(self._plots.cursor_hz)
        state = card_state(fitted.fit, found.figures, number=found.number, le_hz=LE_HZ)
        page.set_facts(state.facts)
        self._card.set_stale(stale=False)
        self._card.set_state(state)
        self._card.set_draws(())
        self.correlation.set_state(correlation_state(found.figures))
