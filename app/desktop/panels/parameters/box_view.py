"""The unit of the shown take in a box: predicted in the worker at every step of a field."""

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.parameters.box_page import BoxPage
from app.desktop.panels.parameters.box_panel import BoxPanel
from app.desktop.panels.parameters.box_results import BoxResults
from app.desktop.panels.parameters.parameters_view import ParametersView
from app.desktop.presenters.box_design import (
    box_card,
    box_excursion_plot,
    box_impedance_plot,
    box_level_plot,
    box_vent_plot,
    no_box,
)
from app.desktop.presenters.box_form import box_form_state, first_box
from app.desktop.presenters.figures import value_text
from app.desktop.presenters.measure_scene import View
from app.desktop.presenters.parameters_words import words_of_box
from app.measure.box_design import BoxDesign, BoxWish, design_box
from app.measure.surroundings import air_of
from dsp.box.enclosure import VentedBox

_TOPIC = "box"
_NO_FIGURES = "No parameters yet. Next: press P, and play a unit or choose a take."
_NO_SCALE = (
    "A box needs the moving mass and the area. Next: press P, type the cone’s diameters and choose "
    "by what masses are scaled."
)


class BoxView(QObject):
    """Asks only while somebody looks; of several questions the latest counts.

    ``said`` (BayWords) tells what a box comes to.
    """

    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        parameters: ParametersView,
        plots: Plots,
        panel: BoxPanel,
        page: BoxPage,
        results: BoxResults,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._parameters, self._plots = bench, parameters, plots
        self._panel, self._page, self._results = panel, page, results
        rated = bench.chain.chain.output.drive.nominal_ohm
        self._form = first_box(nominal_ohm=rated or BoxWish().watts_ohm)
        self._design: BoxDesign | None = None
        panel.typed.connect(self._type)
        panel.kind_chosen.connect(self._choose)
        plots.view_changed.connect(self._look)
        parameters.found.connect(self._ask)
        self._paint("")

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        self._form = self._form.typed(key, text)
        self._paint_form()
        self._ask()

    @Slot(str)
    def _choose(self, kind: str) -> None:
        self._form = self._form.of_kind(kind)
        self._ask()

    @Slot(object)
    def _look(self, view: View) -> None:
        if view is View.BOX:
            self._ask()

    @Slot()
    def _ask(self, *_: object) -> None:
        if self._plots.view is not View.BOX:
            return
        figures, fit = self._parameters.figures, self._parameters.fit
        if figures is None or fit is None:
            self._give_up(_NO_FIGURES)
            return
        if "vas_l" not in figures.names:
            self._give_up(_NO_SCALE)
            return
        wish, air = box_form_state(self._form).wish, air_of(self._parameters.ambient)
        self._bench.worker.ask(
            _TOPIC,
            lambda: design_box(figures, fit=fit, air=air, wish=wish),
            then=self._take,
            refused=self._refuse,
        )

    def _take(self, design: BoxDesign) -> None:
        self._design = design
        self._paint("")
        if self._plots.view is View.BOX:
            self.said.emit(words_of_box(design))

    def _refuse(self, error: Exception) -> None:
        words = str(error).split(": ", 1)[-1]
        self._give_up(
            f"{words[:1].upper()}{words[1:]}. Next: type a volume, or another kind of box."
        )

    def _give_up(self, sentence: str) -> None:
        self._bench.worker.forget(_TOPIC)
        self._design = None
        self._paint(sentence)

    def _paint(self, sentence: str) -> None:
        design, page = self._design, self._page
        air = air_of(self._parameters.ambient)
        self._paint_form()
        page.show_vent(shown=self._form.kind == "vented")
        page.show_plot(page.level, box_level_plot(design))
        page.show_plot(page.excursion, box_excursion_plot(design))
        page.show_plot(page.vent, box_vent_plot(design, air=air))
        page.show_plot(page.impedance, box_impedance_plot(design))
        page.set_cursor(self._plots.cursor_hz)
        self._results.set_card(box_card(design, air=air) if design else no_box(sentence))

    def _paint_form(self) -> None:
        suits = _suits(self._design)
        self._panel.set_state(self._form, box_form_state(self._form), suits=suits)


def _suits(design: BoxDesign | None) -> dict[str, str]:
    if design is None:
        return {"volume": "what suits", "tuning": "what suits"}
    box = design.prediction.box
    found = {"volume": value_text(float(f"{1e3 * box.volume_m3:.3g}"))}
    if isinstance(box, VentedBox):
        found["tuning"] = value_text(float(f"{box.tuning_hz:.3g}"))
    return found
