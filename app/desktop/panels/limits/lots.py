"""Connects the page of lots to the worker."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QStackedWidget

from app.desktop.panels.limits.left_column import Tool
from app.desktop.panels.limits.lots_page import LotsPage
from app.desktop.panels.limits.workplace import Workplace
from app.desktop.presenters.limits_figures import mask_title
from app.desktop.presenters.limits_lots import lots_state
from app.errors import BadInputError
from app.measure.lot_chart import LotChart, lot_chart
from app.measure.lot_figures import Group, LotReport, lot_figures
from app.procedure.mask_schema import Mask
from app.records.store import Store
from dsp import DspError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Counted:
    report: LotReport
    figure: LotChart | None
    refused: str


class Lots(QObject):
    """The page stands in place of the plots; L turns it, as does a press on a lot."""

    def __init__(self, at: Workplace, *, pages: QStackedWidget, page: LotsPage) -> None:
        super().__init__(at.draft)
        self._bench, self._draft, self._says = at.bench, at.draft, at.says
        self._pages, self._page, self._plots = pages, page, at.units
        page.asked.connect(self.count)
        at.left.turned.connect(self._follow_tool)

    @property
    def is_shown(self) -> bool:
        """Whether the page is seen."""
        return self._pages.currentWidget() is self._page

    @Slot()
    def turn(self) -> None:
        """Show the page, or the plots again."""
        if self.is_shown:
            self._pages.setCurrentWidget(self._plots)
            self._says.forget()
            self._says.say_again()
            return
        self._pages.setCurrentWidget(self._page)
        self._page.set_figures(
            [(name, mask_title(name)) for name, mask in self._draft.masks.items() if _charts(mask)]
        )
        self._says.tell_plainly(
            "First takes of all units, lot by lot or week by week.",
            next_step="choose what is charted; a double click shows a lot under the mask; L: back.",
        )
        self.count()
        self._page.table.setFocus()

    @Slot(object)
    def _follow_tool(self, tool: Tool) -> None:
        """Show the plots, which a tool works on."""
        if tool is not Tool.POINT:
            self._pages.setCurrentWidget(self._plots)

    @Slot()
    def count(self) -> None:
        """Count anew."""
        store, procedure = self._bench.store, self._bench.procedure.procedure.name
        by: Group = "week" if self._page.by.key() == "week" else "lot"
        mask = self._draft.masks.get(self._page.figure.key())
        self._bench.worker.ask(
            "limits: lots",
            lambda: _count(store, procedure, by=by, mask=mask),
            then=self._show,
            refused=lambda error: self._says.refuse(
                str(error), what="Not counted", next_step="press L to go back to the mask."
            ),
        )

    def _show(self, counted: _Counted) -> None:
        self._page.set_state(
            lots_state(counted.report, figure=counted.figure, refused=counted.refused)
        )


def _charts(mask: Mask) -> bool:
    """Tell whether the mean of what a mask looks at can stand against the mask itself."""
    return mask.relative_to is None and mask.align is None


def _count(store: Store, procedure: str, *, by: Group, mask: Mask | None) -> _Counted:
    report = lot_figures(store, procedure=procedure, by=by)
    if mask is None:
        return _Counted(report=report, figure=None, refused="")
    try:
        figure = lot_chart(store, procedure=procedure, quantity=mask.quantity, points=by, mask=mask)
    except (BadInputError, DspError) as error:
        return _Counted(report=report, figure=None, refused=f"{error}.")
    return _Counted(report=report, figure=figure, refused="")
