"""Connects the tool that weighs mistakes to the worker, the plot and the draft."""

from PySide6.QtCore import QObject, Slot

from app.desktop.panels.limits.left_column import Tool
from app.desktop.panels.limits.workplace import Workplace
from app.desktop.presenters.limits_weigh import Costs, weigh_state
from app.measure.cost_curve import CostCurve, cost_curve
from app.procedure.edit_masks import EditRefusedError, offset
from app.procedure.mask_schema import Mask


class Weighing(QObject):
    """Open, it stands under the mask in place of the margins."""

    def __init__(self, at: Workplace) -> None:
        super().__init__(at.draft)
        self._bench, self._draft, self._keeper = at.bench, at.draft, at.keeper
        self._left, self._units, self._says = at.left, at.units, at.says
        self._found: CostCurve | None = None
        at.left.weigh.wanted.connect(self._work_out)
        at.left.weigh.taken.connect(self._move)
        at.left.turned.connect(self._follow_tool)
        at.keeper.judged.connect(self._follow_limits)
        at.units.weighed.pressed_at.connect(at.units.weighed.mark)

    @Slot()
    def begin(self) -> None:
        """Show the tool, if there are units and masks."""
        behind = self._keeper.behind
        if behind is None or not behind.trial.size or not self._draft.masks:
            self._says.tell_plainly(
                "There is nothing to weigh yet.",
                next_step="it takes masks, and units that inspection found good and bad.",
            )
            return
        self._left.show_tool(Tool.WEIGH)
        self._says.ask_tool("What does an escape cost, and a false reject?", enter="counts anew")
        self._left.weigh.begin()

    @Slot(object)
    def _follow_tool(self, tool: Tool) -> None:
        """Show mistakes as long as they are weighed, and margins otherwise."""
        self._units.show_weighed(shown=tool is Tool.WEIGH)

    @Slot()
    def _follow_limits(self) -> None:
        """Weigh anew where the limits are others; nothing counts that was weighed before."""
        if self._left.tool is Tool.WEIGH and not self._draft.is_dragging:
            self._found = None
            self._left.weigh.apply()

    @Slot(object)
    def _work_out(self, costs: Costs) -> None:
        behind, seen = self._keeper.behind, self._keeper.seen
        if behind is None or seen is None:
            return
        trial, masks, judged = behind.trial, dict(self._draft.masks), seen.found.draft
        self._bench.worker.ask(
            "limits: cost",
            lambda: cost_curve(
                trial,
                masks,
                escape_cost=costs.escape,
                false_reject_cost=costs.false_reject,
                bad_share=costs.bad_share,
                judged=judged,
            ),
            then=self._show,
            refused=self._refuse,
        )

    def _show(self, found: CostCurve) -> None:
        self._found = found
        state = weigh_state(found)
        self._left.weigh.set_state(state)
        self._units.weighed.set_words("Mistakes", state.unit)
        self._units.weighed.set_lines(state.lines, places=state.places)

    def _refuse(self, error: Exception) -> None:
        if isinstance(error, EditRefusedError):
            self._left.weigh.refuse(error)
        else:
            self._says.refuse(str(error), what="Not weighed", next_step="go on editing.")

    @Slot()
    def _move(self) -> None:
        """Move the masks that were weighed to the offset that costs least: one edit."""
        found = self._found
        if found is None or found.best is None or not found.best.offset:
            return
        by = found.best.offset
        moved = {
            name: _moved(mask, by) if name in found.moved else mask
            for name, mask in self._draft.masks.items()
        }
        self._draft.put_masks(moved, text="Move limits to the least cost")


def _moved(mask: Mask, by: float) -> Mask:
    return offset(mask, upper_by=by, lower_by=-by)
