"""Connects the gauge study to the worker, and what it found to the proposal."""

from PySide6.QtCore import QObject, Slot

from app.desktop.panels.limits.left_column import Tool
from app.desktop.panels.limits.proposals import Proposals
from app.desktop.panels.limits.workplace import Workplace
from app.desktop.presenters.limits_figures import mask_title
from app.desktop.presenters.limits_gauge import gauge_state, no_gauge
from app.errors import BadInputError
from app.measure.gauge_of_mask import GaugeOfMask, gauge_of_mask


class Gauging(QObject):
    """U opens the tool; its figures are of the chosen mask's quantity."""

    def __init__(self, at: Workplace, *, proposals: Proposals) -> None:
        super().__init__(at.draft)
        self._bench, self._draft, self._keeper = at.bench, at.draft, at.keeper
        self._left, self._says, self._proposals = at.left, at.says, proposals
        at.left.gauge.asked.connect(self._work_out)
        at.left.gauge.taken.connect(self._take)
        at.draft.chosen_changed.connect(self._follow)

    @Slot()
    def begin(self) -> None:
        """Show the tool."""
        if self._draft.mask is None:
            return
        self._left.show_tool(Tool.GAUGE)
        self._left.gauge.begin()

    @Slot()
    def _follow(self) -> None:
        """Another mask, another study."""
        if self._left.tool is Tool.GAUGE:
            self._left.gauge.begin()

    @Slot(str)
    def _work_out(self, key: str) -> None:
        behind, seen, name = self._keeper.behind, self._keeper.seen, self._draft.name or ""
        result = seen.found.draft.masks.get(name) if seen is not None else None
        if behind is None or result is None:
            return
        store, trial, lot = self._bench.store, behind.trial, self._keeper.lot
        asks = f"What of the spread in {mask_title(name)} is the gauge's own?"
        self._says.tell_plainly(asks, next_step="Esc leaves this.")

        def show(found: GaugeOfMask) -> None:
            state = gauge_state(found, quantity=result.mask.quantity)
            self._left.gauge.set_state(state)
            if state.floor:
                self._says.tell_plainly(
                    asks, next_step="Enter proposes limits that leave it room, Esc leaves this."
                )

        self._bench.worker.ask(
            "limits: gauge",
            lambda: gauge_of_mask(
                store, trial, result, by="day" if key == "day" else "station", lot=lot
            ),
            then=show,
            refused=self._refuse,
        )

    def _refuse(self, error: Exception) -> None:
        reason = error.what if isinstance(error, BadInputError) else str(error)
        self._left.gauge.set_state(no_gauge(reason))

    @Slot(str)
    def _take(self, floor: str) -> None:
        self._proposals.begin()
        self._left.propose.fields["floor"].set_text(floor)
