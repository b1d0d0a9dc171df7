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
from app.desktop.panels.parameters.fits import Fits
from app.desktop.panels.parameters.method_view import MethodView
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
from app.desktop.presenters.parameters_words import words_of_no_fit, words_of_parameters
from app.desktop.refusal import Refusal
from app.measure.scaling import Scaling
from app.measure.unit_fit import UnitFit
from app.records.store import Store
from dsp.parameters.estimates import Estimates, Spread
from dsp.parameters.fit import LumpedFit
from hardware.chain.schema import Ambient

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
    le_hz: float
    refusal: str  # of the method: what the impedance tells by itself stands all the same


class ParametersView(QObject):
    """Follows the shown take; asks only while somebody looks.

    ``found`` (Estimates or None) tells that the figures are others; ``said`` (BayWords) what they
    come to.
    """

    found = Signal(object)
    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        again: Again,
        plots: Plots,
        page: FitPage,
        card: ParameterCard,
        method: MethodView,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._plots = bench, plots
        self._page, self._card = page, card
        self.correlation = CorrelationTable()
        self._shown: Shown | None = None
        self._asked: tuple[str, Scaling] | None = None
        self._fits = Fits(again.opener)
        self._method = method
        self._found: _Found | None = None
        plots.view_changed.connect(self._look)
        method.changed.connect(self._look_again)
        self._paint_none(_NO_TAKE)

    @property
    def figures(self) -> Estimates | None:
        """The figures that are shown."""
        return None if self._found is None else self._found.figures

    @property
    def fits(self) -> Fits:
        """Models of takes, for jobs of the worker."""
        return self._fits

    @property
    def fit(self) -> LumpedFit | None:
        """The model that they follow from."""
        return None if self._found is None else self._found.fitted.fit

    @property
    def ambient(self) -> Ambient:
        """The air of the take that is shown; that of the chain without one."""
        chain = self._bench.chain if self._shown is None else self._shown.take.chain
        return chain.chain.ambient

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

    @Slot()
    def _look_again(self) -> None:
        self._look(self._plots.view)

    @Slot(object)
    def _look(self, view: View) -> None:
        if view not in {View.PARAMETERS, View.BOX}:
            return
        shown = self._shown
        if shown is None:
            self._asked = None
            self._paint_none(_NO_TAKE)
            return
        asked = shown.take.id, self._method.scaling
        if self._asked == asked:
            self._tell()
            return
        self._asked = asked
        store, fits = self._bench.store, self._fits

        def work() -> _Found:
            return _find(fits, store, shown=shown, scaling=asked[1])

        self._card.set_stale(stale=True)
        self._ask(_TOPIC, work, then=self._take)

    def _ask(self, topic: str, work: Callable[[], object], *, then: Callable[..., None]) -> None:
        self._bench.worker.ask(topic, work, then=then, refused=self._refuse)

    def _take(self, found: _Found) -> None:
        self._found = found
        self._paint()
        figures = found.figures
        mass = figures.number("mms_g") if "mms_g" in figures.names else None
        self._method.told(mass, refusal=found.refusal)
        self._tell()
        self.found.emit(figures)

    def _take_spread(self, spread: Spread) -> None:
        if self._found is not None:
            self._card.set_draws(drawn_facts(spread, le_hz=self._found.le_hz))

    def _refuse(self, error: Exception) -> None:
        sentence = _sentence(error)
        self._paint_none(sentence)
        if self._shown is not None and self._plots.view is View.PARAMETERS:
            self.said.emit(words_of_no_fit(sentence, number=self._shown.number))

    def _tell(self) -> None:
        if self._found is not None and self._plots.view is View.PARAMETERS:
            self.said.emit(words_of_parameters(self._found.figures, number=self._found.number))

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
        state = card_state(fitted.fit, found.figures, number=found.number, le_hz=found.le_hz)
        page.set_facts(state.facts)
        self._card.set_stale(stale=False)
        self._card.set_state(state)
        self._card.set_draws(())
        self.correlation.set_state(correlation_state(found.figures))


def _sentence(error: Exception) -> str:
    # Without its first word, which says where: a person is there already.
    words = str(error).split(": ", 1)[-1]
    return f"{words[:1].upper()}{words[1:]}."


def _find(fits: Fits, store: Store, *, shown: Shown, scaling: Scaling) -> _Found:
    take_id, refusal = shown.take.id, ""
    try:
        figures = fits.scaled(store, take_id, scaling=scaling)
    except Refusal as error:
        bare = Scaling(le_hz=scaling.le_hz)
        if scaling == bare:
            raise
        figures = fits.scaled(store, take_id, scaling=bare)
        refusal = _sentence(error)
    return _Found(
        number=shown.number,
        fitted=fits.of(store, take_id),
        figures=figures,
        le_hz=scaling.le_hz,
        refusal=refusal,
    )
