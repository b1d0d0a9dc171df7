"""The Measure bay: what goes in, what is seen, what follows from it, and the takes so far."""

from collections.abc import Iterator
from typing import ClassVar

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from app.desktop.bays.bay import Bay
from app.desktop.controls.columns import MARGIN, Columns
from app.desktop.panels.defects.defects_page import DefectsPage
from app.desktop.panels.defects.defects_panel import DefectsPanel
from app.desktop.panels.defects.defects_results import DefectsResults
from app.desktop.panels.defects.defects_view import DefectsView
from app.desktop.panels.defects.hear_view import HearView
from app.desktop.panels.measure.again import Again
from app.desktop.panels.measure.field_column import FieldColumn
from app.desktop.panels.measure.over_level import OverLevelView
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.measure.presenting import Panels, Presenting
from app.desktop.panels.measure.procedure_edits import ProcedureEdits
from app.desktop.panels.measure.result import Result
from app.desktop.panels.measure.ribbon import Ribbon
from app.desktop.panels.measure.run_view import RunView
from app.desktop.panels.measure.set_up import SetUp
from app.desktop.panels.measure.shown_takes import ShownTakes
from app.desktop.panels.measure.take_actions import TakeActions
from app.desktop.panels.measure.view_actions import ViewActions
from app.desktop.panels.merge.merge_page import MergePage
from app.desktop.panels.merge.merge_panel import MergePanel
from app.desktop.panels.merge.merge_results import MergeResults
from app.desktop.panels.merge.merge_view import MergeView
from app.desktop.panels.parameters.box_page import BoxPage
from app.desktop.panels.parameters.box_panel import BoxPanel
from app.desktop.panels.parameters.box_results import BoxResults
from app.desktop.panels.parameters.box_view import BoxView
from app.desktop.panels.parameters.card import ParameterCard
from app.desktop.panels.parameters.fit_page import FitPage
from app.desktop.panels.parameters.ladder_page import LadderPage
from app.desktop.panels.parameters.ladder_panel import LadderPanel
from app.desktop.panels.parameters.ladder_results import LadderResults
from app.desktop.panels.parameters.ladder_view import LadderView
from app.desktop.panels.parameters.method_form import MethodPanel
from app.desktop.panels.parameters.method_view import MethodView
from app.desktop.panels.parameters.parameters_view import ParametersView
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import CURVE_VIEWS, View
from app.desktop.presenters.measure_words import words_said
from app.measure.events import Finished

_FOOT = 10


class MeasureBay(Bay):
    """Joins panels and bench; what each does stands in its own file under panels/measure."""

    name: ClassVar[str] = "measure"

    def _pieces(self) -> Iterator[None]:
        bench, actions = self.bench, self.actions_table
        self.set_up = SetUp()
        yield
        self.plots = Plots()
        yield
        self.result, self.ribbon = Result(actions), Ribbon()
        yield
        self.takes, self.again = ShownTakes(bench, self), Again(bench, self)
        self.over_level = OverLevelView(bench, self.plots.over_level, self)
        self.card, self.fit_page = ParameterCard(actions), FitPage()
        self.plots.add_view(View.PARAMETERS, self.fit_page)
        self.method_panel = MethodPanel(actions)
        self.method = MethodView(
            bench, actions=actions, takes=self.takes, panel=self.method_panel, parent=self
        )
        self.parameters = ParametersView(
            bench,
            again=self.again,
            plots=self.plots,
            page=self.fit_page,
            card=self.card,
            method=self.method,
            parent=self,
        )
        self.parameters.connect_actions(actions)
        yield
        self.box_panel, self.box_page = BoxPanel(), BoxPage()
        self.box_results = BoxResults(actions)
        self.plots.add_view(View.BOX, self.box_page)
        self.box = BoxView(
            bench,
            parameters=self.parameters,
            plots=self.plots,
            panel=self.box_panel,
            page=self.box_page,
            results=self.box_results,
            parent=self,
        )
        yield
        self.ladder_panel, self.ladder_page = LadderPanel(actions), LadderPage()
        self.ladder_results = LadderResults(actions)
        self.plots.add_view(View.LADDER, self.ladder_page)
        yield
        self.merge_panel, self.merge_page = MergePanel(actions), MergePage()
        self.merge_results = MergeResults(actions)
        self.plots.add_view(View.MERGED, self.merge_page)
        self.merge = MergeView(
            bench,
            actions=actions,
            takes=self.takes,
            plots=self.plots,
            panel=self.merge_panel,
            page=self.merge_page,
            results=self.merge_results,
            parent=self,
        )
        yield
        self.defects_panel, self.defects_page = DefectsPanel(actions), DefectsPage()
        self.defects_results = DefectsResults(actions)
        self.plots.add_view(View.DEFECTS, self.defects_page)
        self.defects = DefectsView(
            bench,
            again=self.again,
            plots=self.plots,
            page=self.defects_page,
            panel=self.defects_panel,
            results=self.defects_results,
            parent=self,
        )
        self.hear = HearView(
            bench, actions=actions, defects=self.defects, panel=self.defects_panel, parent=self
        )
        self._lay_out()
        yield
        self.presenting = Presenting(
            bench,
            takes=self.takes,
            again=self.again,
            panels=Panels(
                set_up=self.set_up, plots=self.plots, result=self.result, ribbon=self.ribbon
            ),
            say=self.say,
            parent=self,
        )
        self.edits = ProcedureEdits(bench, self.set_up, self)
        self.ladder = LadderView(
            bench,
            actions=actions,
            plots=self.plots,
            panel=self.ladder_panel,
            page=self.ladder_page,
            results=self.ladder_results,
            fits=self.parameters.fits,
            is_loud=lambda: self.edits.is_loud,
            parent=self,
        )
        self.run_view = RunView(
            bench,
            takes=self.takes,
            again=self.again,
            plots=self.plots,
            presenting=self.presenting,
            parent=self,
        )
        self.view_actions = ViewActions(
            actions, plots=self.plots, presenting=self.presenting, parent=self
        )
        self.take_actions = TakeActions(
            actions,
            bench=bench,
            takes=self.takes,
            again=self.again,
            edits=self.edits,
            presenting=self.presenting,
            ribbon=self.ribbon,
            parent=self,
        )
        self._wire()
        yield
        self.edits.present()
        yield
        self.presenting.present()
        self.takes.refresh()

    def entered(self) -> None:
        """Look for what came to the store meanwhile; keys go to the plots."""
        self.presenting.move_on()
        self.takes.refresh()
        self.edits.predict()
        self._focus_plots()

    def show_there(self, payload: object) -> None:
        """Show a stored take by its id; ``unit``: the field of the serial."""
        if payload == "unit":
            self.set_up.specimen.serial.setFocus()
            self.set_up.specimen.serial.select_all()
        elif isinstance(payload, str):
            self._show(payload)

    def _wire(self) -> None:
        bench, takes, again = self.bench, self.takes, self.again
        takes.changed.connect(self._takes_changed)
        takes.ribbon_changed.connect(self.presenting.present_ribbon)
        takes.ribbon_changed.connect(self.presenting.present_words)
        for refused in (takes.refused, again.refused, self.edits.refused):
            refused.connect(self._refuse)
        again.impulse_found.connect(self.presenting.present_gate)
        again.gated.connect(self._gated)
        again.kept.connect(self._kept_again)
        self.ribbon.show_asked.connect(self._show)
        self.ribbon.overlay_asked.connect(takes.toggle)
        self.ribbon.more_asked.connect(lambda: self.open_bay.emit("records", None))
        self.plots.cursor_moved.connect(self.over_level.go_to)
        self.plots.view_changed.connect(self._turn_columns)
        self.result.mask_chosen.connect(self._go_to_mask)
        self.set_up.gate.gate_dragged.connect(self._drag_gate)
        self.set_up.given_up.connect(self._give_up)
        for panel in self._left_pages:
            panel.done.connect(self._focus_plots)
        for teller in (
            self.method,
            self.parameters,
            self.box,
            self.ladder,
            self.merge,
            self.defects,
            self.hear,
        ):
            teller.said.connect(self.presenting.tell)
        self.set_up.gate.share(self.plots.time)
        self.view_actions.said.connect(self.presenting.tell)
        self.take_actions.said.connect(self.presenting.tell)
        self.take_actions.link_asked.connect(lambda link: self.open_bay.emit("chain", link))
        bench.store_changed.connect(takes.refresh)
        bench.store_changed.connect(self.edits.predict)  # a take tells the sensitivity
        for changed in (bench.procedure_changed, bench.chain_changed, bench.specimen_changed):
            changed.connect(self._bench_changed)
        bench.procedure_changed.connect(self._follow_gate)

    @Slot(object)
    def _turn_columns(self, view: View) -> None:
        """Change what goes in and what follows with the view."""
        left, right = {
            View.PARAMETERS: (self.method_panel, self.card),
            View.BOX: (self.box_panel, self.box_results),
            View.LADDER: (self.ladder_panel, self.ladder_results),
            View.MERGED: (self.merge_panel, self.merge_results),
            View.DEFECTS: (self.defects_panel, self.defects_results),
        }.get(view, (self.set_up, self.result))
        self._left.setCurrentWidget(left)
        self._right.setCurrentWidget(right)
        if view in CURVE_VIEWS:  # what parameters and box said is old
            self.presenting.move_on()
            self.presenting.present_words()

    @Slot()
    def _give_up(self) -> None:
        self.edits.forget_refusal()
        self.presenting.present_gate()

    @Slot()
    def _focus_plots(self) -> None:
        self.plots.stack.plots[0].setFocus()

    @Slot(str)
    def _show(self, take_id: str) -> None:
        showing = self.presenting
        showing.move_on()
        showing.gated, showing.failure, showing.has_stopped, showing.new_id = None, None, False, ""
        self.takes.show(take_id)

    @Slot()
    def _takes_changed(self) -> None:
        chosen = self.takes.chosen
        if chosen is not None:
            self.again.find_impulse(chosen.take.id)
        self.over_level.find(chosen.take if chosen is not None else None)
        self.parameters.show_take(chosen)
        self.ladder.show_take(chosen)
        self.defects.show_take(chosen)
        self.presenting.present_in_turns()

    def _bench_changed(self, *_: object) -> None:
        self.presenting.present_gate()
        if self.takes.chosen is None:
            self.presenting.present()

    @Slot()
    def _follow_gate(self) -> None:
        """Show the take through the gate on the bench, wherever that was set: by hand or undone."""
        chosen, now = self.takes.chosen, self.bench.procedure.procedure
        if chosen is None or self.bench.run.is_active or chosen.take.procedure.name != now.name:
            return
        if now.geometry.gate_ms == chosen.take.procedure.geometry.gate_ms:
            self.again.forget_gate()
            self.presenting.move_on()
            self.presenting.gated = None
            self.presenting.present()
        else:
            self.again.with_gate(chosen.take.id, now.geometry.gate_ms)

    @Slot(float)
    def _drag_gate(self, gate_ms: float) -> None:
        chosen = self.takes.chosen
        if chosen is not None and not self.bench.run.is_active:
            self.again.with_gate(chosen.take.id, round(max(gate_ms, 0.5), 2))

    @Slot(object)
    def _gated(self, finished: Finished) -> None:
        chosen = self.takes.chosen
        if chosen is None or finished.take.derived_from != (
            chosen.take.derived_from or chosen.take.id
        ):
            return  # another take has come meanwhile
        self.presenting.move_on()
        self.presenting.gated = finished
        self.presenting.present_plots()
        self.presenting.present_result()
        self.presenting.present_gate()
        self.presenting.present_words()

    @Slot(object, int)
    def _kept_again(self, finished: Finished, number: int) -> None:
        self.presenting.move_on()
        self.presenting.gated = None
        self.presenting.new_id = finished.take.id
        self.takes.add(finished, number=number)
        self.bench.store_changed.emit()

    @Slot(str)
    def _go_to_mask(self, name: str) -> None:
        hz = next((line.hz for line in self.result.masks if line.mask == name), None)
        if hz is not None:
            self.plots.set_cursor(hz)
            self.over_level.go_to(hz)

    @Slot(str)
    def _refuse(self, sentence: str) -> None:
        self.presenting.tell(
            words_said(
                f"Not done: {sentence}.", next_step="put that right, then try again.", mark=Mark.BAD
            )
        )

    @property
    def _left_pages(self) -> tuple[FieldColumn, ...]:
        return (
            self.set_up,
            self.method_panel,
            self.box_panel,
            self.ladder_panel,
            self.merge_panel,
            self.defects_panel,
        )

    def _lay_out(self) -> None:
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        self._left, self._right = QStackedWidget(), QStackedWidget()
        for page in self._left_pages:
            self._left.addWidget(page)
        for results in (
            self.result,
            self.card,
            self.box_results,
            self.ladder_results,
            self.merge_results,
            self.defects_results,
        ):
            self._right.addWidget(results)
        lines.addWidget(Columns(self._left, self.plots, self._right), 1)
        foot = QVBoxLayout()
        foot.setContentsMargins(MARGIN, 0, MARGIN, _FOOT)
        foot.addWidget(self.ribbon)
        lines.addLayout(foot)
