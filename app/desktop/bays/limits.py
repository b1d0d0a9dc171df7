"""The Limits bay: masks on the units that they judge, and what a draft of them would change."""

from collections.abc import Iterator
from typing import ClassVar

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from app.desktop.actions import Actions
from app.desktop.bays.bay import Bay
from app.desktop.controls.columns import Columns
from app.desktop.panels.limits.approving import Approving
from app.desktop.panels.limits.choosing_reference import ChoosingReference
from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.export import Export
from app.desktop.panels.limits.gauging import Gauging
from app.desktop.panels.limits.inspect_unit import InspectUnit
from app.desktop.panels.limits.left_column import LeftColumn, Tool
from app.desktop.panels.limits.lots import Lots
from app.desktop.panels.limits.lots_page import LotsPage
from app.desktop.panels.limits.mask_edits import MaskEdits
from app.desktop.panels.limits.presenting import Presenting
from app.desktop.panels.limits.proposals import Proposals
from app.desktop.panels.limits.right_column import RightColumn
from app.desktop.panels.limits.risks import Risks
from app.desktop.panels.limits.save_draft import SaveDraft
from app.desktop.panels.limits.travelling import Travelling
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.panels.limits.units_plot import UnitsPlot
from app.desktop.panels.limits.weighing import Weighing
from app.desktop.panels.limits.words import Says
from app.desktop.panels.limits.workplace import Workplace
from app.desktop.presenters.limits_words import words_held_against
from app.measure.trial import Trial
from app.procedure.limit_difference import difference
from app.procedure.procedure_limits import with_own_masks
from app.records.limit_revisions import LimitRevision

_OF_A_MASK = ("add_point", "remove_point", "remove_mask", "offset_mask", "propose_mask", "table")
_PROPORTIONS: tuple[float | None, ...] = (None, 50.0, 25.0)  # dB a decade, IEC 60263


class LimitsBay(Bay):
    """Wires draft, trial and panels; what each part does stands in its own file."""

    name: ClassVar[str] = "limits"

    def _pieces(self) -> Iterator[None]:
        bench, actions = self.bench, self.actions_table
        self.draft, self.keeper = Draft(bench, self), TrialKeeper(bench, self)
        self.column = LeftColumn()
        yield from self.column.fill(actions)
        yield
        self.units = UnitsPlot()
        yield
        self.side = RightColumn(actions)
        yield
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        self.lots_page, self.middle = LotsPage(), QStackedWidget()
        for page in (self.units, self.lots_page):
            self.middle.addWidget(page)
        lines.addWidget(Columns(self.column, self.middle, self.side, pages=("Limits", "Units")))
        yield
        self.presenting = Presenting(
            bench,
            draft=self.draft,
            keeper=self.keeper,
            columns=(self.column, self.units, self.side),
            parent=self,
        )
        self.edits = MaskEdits(self.draft, left=self.column, plot=self.units.plot, parent=self)
        self.says = Says(bench, keeper=self.keeper, presenting=self.presenting, parent=self)
        self.says.said.connect(self.say)
        at = Workplace(
            bench=bench,
            draft=self.draft,
            keeper=self.keeper,
            left=self.column,
            units=self.units,
            says=self.says,
            presenting=self.presenting,
        )
        self.proposals, self.weighing = Proposals(at), Weighing(at)
        self.gauging, self.choosing = Gauging(at, proposals=self.proposals), ChoosingReference(at)
        self.lots = Lots(at, pages=self.middle, page=self.lots_page)
        self.risks = Risks(bench, draft=self.draft, keeper=self.keeper, panel=self.column.point)
        self.travelling = Travelling(bench, draft=self.draft, says=self.says, parent=self)
        self.export = Export(bench, keeper=self.keeper, units=self.units, says=self.says)
        self.inspecting = InspectUnit(
            bench, panel=self.side.inspection, presenting=self.presenting, says=self.says
        )
        self.saving = SaveDraft(bench, panel=self.column.revisions, says=self.says, parent=self)
        self.approving = Approving(
            bench, keeper=self.keeper, presenting=self.presenting, says=self.says, parent=self
        )
        self._is_stale, self._proportion, self._is_new = True, 0, False
        self._connect()
        self._connect_actions(actions)
        yield
        self._allow()
        self.presenting.present_judged()
        self.presenting.present_limits()

    def entered(self) -> None:
        """Look for units that came meanwhile; the keyboard goes to the plot."""
        if self._is_stale or not self.keeper.fits(self.bench.procedure.procedure):
            self._look()
        self.says.say_again()
        self.units.focus_plot()

    @Slot(object)
    def show_there(self, payload: object) -> None:
        """Choose a mask by its name."""
        if isinstance(payload, str):
            self.draft.choose(payload)

    def _connect(self) -> None:
        self.column.masks.chosen.connect(self.draft.choose)
        self.draft.chosen_changed.connect(self._show_other)
        self.draft.moved.connect(self._follow_draft)
        self.keeper.read.connect(self._take_units)
        self.keeper.judged.connect(self._take_answer)
        self.keeper.refused.connect(self.says.refuse_reading)
        self.units.unit_pressed.connect(self._press_unit)
        self.side.flips.pressed.connect(self.presenting.toggle)
        self.side.lot_chosen.connect(self._choose_lot)
        self.lots_page.lot_pressed.connect(self._show_lot)
        self.column.pointed.connect(self._leave_tool)
        self.column.revisions.chosen.connect(self._hold_against)
        self.column.revisions.wanted.connect(self._put_revision)
        # One person sits here: a name is typed once.
        self.column.revisions.by.committed.connect(self.side.inspection.by.set_text)
        self.side.inspection.by.committed.connect(self.column.revisions.by.set_text)
        self.column.revisions.save_asked.connect(self._save)
        self.saving.saved.connect(self._look)
        self.approving.decided.connect(self._look)
        self.bench.store_changed.connect(self._note_store)
        self.bench.procedure_changed.connect(self._note_procedure)

    def _connect_actions(self, actions: Actions) -> None:
        for one, slot in (
            ("add_point", self.edits.add_at_cursor),
            ("remove_point", self.edits.remove_chosen),
            ("new_mask", self.proposals.begin_new),
            ("remove_mask", self.edits.remove_mask),
            ("offset_mask", self.edits.begin_offset),
            ("propose_mask", self.proposals.begin),
            ("weigh", self.weighing.begin),
            ("gauge", self.gauging.begin),
            ("choose_reference", self.choosing.begin),
            ("lots", self.lots.turn),
            ("import_limits", self.travelling.ask),
            ("paste_limits", self.travelling.paste),
            ("table", self._turn_table),
            ("mark_good", self.inspecting.good),
            ("mark_bad", self.inspecting.bad),
            ("save", self._save),
            ("approve_limits", self.approving.approve),
            ("retire_limits", self.approving.retire),
            ("proportions", self._turn_proportions),
            ("whole_range", self.units.plot.show_whole),
            ("copy", self.export.copy),
            ("copy_picture", self.export.copy_picture),
            ("export", self.export.ask),
        ):
            actions.of(one).triggered.connect(slot)

    @Slot()
    def _look(self) -> None:
        self._is_stale = False
        self.keeper.look()
        self.says.say_again()

    @Slot()
    def _note_store(self) -> None:
        self._is_stale = True
        if self.isVisible():
            self._look()

    @Slot(object)
    def _note_procedure(self, _loaded: object) -> None:
        if self.isVisible() and not self.keeper.fits(self.bench.procedure.procedure):
            self._look()

    @Slot()
    def _show_other(self) -> None:
        self._allow()
        self.presenting.present_judged()
        self.presenting.present_limits()
        self.keeper.judge(self.draft.masks, name=self.draft.name)

    @Slot()
    def _follow_draft(self) -> None:
        self.says.forget()
        self.presenting.hold_against(None)
        self.keeper.judge(self.draft.masks, name=self.draft.name)

    @Slot()
    def _leave_tool(self) -> None:
        """Go on at the plot; the row says again how the draft stands."""
        self.says.forget()
        self.says.say_again()
        self.units.focus_plot()

    def _allow(self) -> None:
        """Let the actions that need a mask act only where there is one."""
        for one in _OF_A_MASK:
            self.actions_table.of(one).setEnabled(self.draft.mask is not None)

    @Slot(object)
    def _take_units(self, before: Trial | None) -> None:
        behind, self._is_new = self.keeper.behind, True
        if behind is not None:
            self.presenting.shown.keep_drawn(before, behind.trial)
            lots = behind.trial.lots if self.keeper.lot is None else None
            if lots is not None:
                self.side.set_lots(lots, lot=None)
        self.keeper.judge(self.draft.masks, name=self.draft.name)

    @Slot()
    def _take_answer(self) -> None:
        if self._is_new:
            self._is_new = False
            self.units.rest_dots()
        self.presenting.present_judged()
        if not self.draft.is_dragging:
            self.presenting.present_limits()
        self.says.say_again()

    @Slot(str)
    def _press_unit(self, key: str) -> None:
        self.presenting.toggle(int(key))

    @Slot(object)
    def _choose_lot(self, lot: str | None) -> None:
        self.keeper.lot = lot
        self._look()

    @Slot(str)
    def _show_lot(self, lot: str) -> None:
        """Show the units of a lot under the mask; weeks and units of no lot have no such choice."""
        behind = self.keeper.behind
        if behind is not None and lot in behind.trial.lots:
            self.side.lots.set_key(lot)
            self.lots.turn()
            self._choose_lot(lot)

    @Slot(int)
    def _hold_against(self, number: int) -> None:
        """Draw a revision under the draft, and say what is otherwise."""
        one = self._revision(number)
        if one is None:
            return
        self.presenting.hold_against(one)
        self.says.tell_plainly(
            words_held_against(
                one,
                changes=difference(one.masks, self.draft.masks),
                bench=self.presenting.standing.bench_name,
            ),
            next_step="a double click puts it on the bench; an edit goes on with the draft.",
        )

    @Slot(int)
    def _put_revision(self, number: int) -> None:
        one = self._revision(number)
        if one is not None:
            self.presenting.hold_against(None)
            self.bench.procedure_kept(with_own_masks(self.bench.procedure.procedure, one.masks))
            self.draft.put_masks(one.masks, text=f"Put revision {number} on the bench")

    def _revision(self, number: int) -> LimitRevision | None:
        behind = self.keeper.behind
        revisions = behind.force.revisions if behind is not None else ()
        return next((one for one in revisions if one.number == number), None)

    @Slot()
    def _save(self) -> None:
        self.saving.save(is_draft=self.presenting.on_bench is None)

    @Slot()
    def _turn_table(self) -> None:
        if self.column.tool is Tool.TABLE:
            self.column.show_point()
            self.units.focus_plot()
        else:
            self.column.show_tool(Tool.TABLE)
            self.column.points.view.setFocus()

    @Slot()
    def _turn_proportions(self) -> None:
        self._proportion = (self._proportion + 1) % len(_PROPORTIONS)
        self.units.plot.set_db_per_decade(_PROPORTIONS[self._proportion])
