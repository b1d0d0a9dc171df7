"""Everything that changes a mask: the plot's handles, fields, table, keys; refusals go back."""

import math

import numpy as np
from PySide6.QtCore import QEvent, QObject, Qt, Slot
from PySide6.QtWidgets import QApplication

from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.left_column import LeftColumn, Tool
from app.desktop.panels.limits.points_table import TypedPoint
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_figures import mask_title, step_of, unit_of
from app.desktop.presenters.limits_point import Chosen
from app.desktop.presenters.limits_scale import scale_of
from app.procedure.edit_masks import (
    EditRefusedError,
    Side,
    add_point,
    move_point,
    offset,
    points_of,
    remove_point,
    set_guard,
    set_value,
    snapped,
    value_of,
)

_MIDDLE_HZ = 1000.0
_COARSE = 10


class MaskEdits(QObject):
    """Turns what a person does into edits of the draft."""

    def __init__(
        self, draft: Draft, *, left: LeftColumn, plot: FrequencyPlot, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._draft, self._left, self._plot = draft, left, plot
        self._by_key = False
        plot.canvas.installEventFilter(self)
        plot.point_pressed.connect(self._press)
        plot.point_dragged.connect(self._drag)
        plot.point_released.connect(self._release)
        plot.segment_double_clicked.connect(self._add_there)
        left.point.at_typed.connect(self._type_at)
        left.point.limit_typed.connect(self._type_limit)
        left.point.guard_typed.connect(self._type_guard)
        left.point.series_chosen.connect(self._choose_series)
        left.points.typed.connect(self._type_point)
        left.points.chosen.connect(draft.choose_point)
        left.offset.wanted.connect(self._offset)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the point go that a press beside all points has let go in the plot."""
        if event.type() == QEvent.Type.MouseButtonRelease and all(
            mask.chosen is None for mask in self._plot.masks
        ):
            self._draft.choose_point(None)
        return super().eventFilter(watched, event)

    @Slot()
    def add_at_cursor(self) -> None:
        """Add a point at the cursor; without one half way to the next, or beyond the last."""
        chosen, mask = self._draft.chosen, self._draft.mask
        if mask is None:
            return
        side: Side = chosen.side if chosen is not None else _first_side(self._draft)
        self._add(side, self._plot.cursor_hz or self._next_gap(side))

    @Slot()
    def remove_chosen(self) -> None:
        """Take the chosen point away."""
        chosen = self._draft.chosen
        if chosen is not None:
            refused = self._draft.edit(
                lambda mask: remove_point(mask, side=chosen.side, index=chosen.index),
                text="Remove a point",
            )
            self._answer(refused)

    @Slot()
    def remove_mask(self) -> None:
        """Take the chosen mask away, whole."""
        name = self._draft.name
        if name is not None:
            left = {one: mask for one, mask in self._draft.masks.items() if one != name}
            self._draft.put_masks(left, text=f"Remove {mask_title(name)}")

    @Slot()
    def begin_offset(self) -> None:
        """Show the fields that move the mask as a whole."""
        mask = self._draft.mask
        if mask is None:
            return
        self._left.show_tool(Tool.OFFSET)
        self._left.offset.begin(
            unit=unit_of(mask.quantity),
            step=step_of(mask.quantity),
            has_upper=mask.upper is not None,
            has_lower=mask.lower is not None,
        )

    @Slot(str, int)
    def _press(self, side: Side, index: int) -> None:
        self._by_key = not self._plot.canvas.is_dragging
        self._draft.take(side, index)

    @Slot(str, int, float, float)
    def _drag(self, side: Side, index: int, hz: float, value: float) -> None:  # noqa: PLR0917
        self._draft.drag(hz, self._stepped(side, index, value) if self._by_key else value)

    def _stepped(self, side: Side, index: int, value: float) -> float:
        """Return where an arrow moves a limit: steps of the quantity, whatever the zoom is."""
        mask = self._draft.mask
        if mask is None:
            return value
        scale = scale_of(mask)
        points, single = points_of(mask, side=side), value_of(mask, side=side)
        before = points[index][1] if points else single
        wanted = scale.figure(value)
        if before is None or math.isclose(before, wanted, rel_tol=1e-6, abs_tol=1e-9):
            return value
        shift = QApplication.keyboardModifiers() & Qt.KeyboardModifier.ShiftModifier
        step = scale.step(mask.quantity, near=before) * (_COARSE if shift else 1)
        moved = before + math.copysign(step, wanted - before)
        return float(scale.drawn(np.array(moved)))

    @Slot(str, int)
    def _release(self, _side: str, _index: int) -> None:
        self._draft.let_go(by_key=self._by_key)

    @Slot(str, float, float)
    def _add_there(self, side: Side, hz: float, _value: float) -> None:
        self._add(side, hz)

    def _add(self, side: Side, hz: float) -> None:
        at = snapped(hz, series=self._draft.series)
        if self._draft.series is None:
            at = float(f"{hz:.4g}")
        refused = self._draft.edit(
            lambda mask: add_point(mask, side=side, hz=at), text="Add a point"
        )
        mask = self._draft.mask
        if refused is None and mask is not None:
            places = [point[0] for point in points_of(mask, side=side)]
            if at in places:
                self._draft.choose_point(Chosen(side=side, index=places.index(at)))
        self._answer(refused)

    @Slot(float)
    def _type_at(self, hz: float) -> None:
        chosen, mask = self._draft.chosen, self._draft.mask
        points = points_of(mask, side=chosen.side) if mask and chosen else ()
        if chosen is None or chosen.index >= len(points):
            return
        refused = self._draft.edit(
            lambda mask: move_point(
                mask, side=chosen.side, index=chosen.index, hz=hz, value=points[chosen.index][1]
            ),
            text="Move a point",
            gesture=f"{chosen} at",
        )
        self._answer(refused)

    @Slot(str, object)
    def _type_limit(self, side: Side, value: float | None) -> None:
        chosen, mask = self._draft.chosen, self._draft.mask
        points = points_of(mask, side=side) if mask is not None else ()
        if points and chosen is not None and value is not None and chosen.index < len(points):
            index, hz = chosen.index, points[chosen.index][0]
            refused = self._draft.edit(
                lambda mask: move_point(mask, side=side, index=index, hz=hz, value=value),
                text="Move a point",
                gesture=f"{chosen} limit",
            )
        else:
            refused = self._draft.edit(
                lambda mask: set_value(mask, side=side, value=value),
                text=f"Set the {side} limit",
                gesture=f"{side} value",
            )
        self._answer(refused, side=side)

    @Slot(float)
    def _type_guard(self, guard: float) -> None:
        refused = self._draft.edit(
            lambda mask: set_guard(mask, guard), text="Set the guard band", gesture="guard"
        )
        self._answer(refused)

    @Slot(object)
    def _choose_series(self, series: int | None) -> None:
        self._draft.series = series

    @Slot(object)
    def _type_point(self, typed: TypedPoint) -> None:
        place = typed.place
        refused = self._draft.edit(
            lambda mask: move_point(
                mask, side=place.side, index=place.index, hz=typed.hz, value=typed.value
            ),
            text="Move a point",
        )
        if refused is None:
            self._left.points.accept()
        else:
            self._left.points.refuse(f"{capital(str(refused))}.")

    @Slot(float, float)
    def _offset(self, upper_by: float, lower_by: float) -> None:
        refused = self._draft.edit(
            lambda mask: offset(mask, upper_by=upper_by, lower_by=lower_by), text="Offset"
        )
        if refused is None:
            self._left.show_point()
        else:
            self._left.offset.refuse(f"{capital(str(refused))}.")

    def _answer(self, refused: EditRefusedError | None, *, side: Side | None = None) -> None:
        self._left.point.forget_refusals()
        if refused is not None:
            self._left.point.refuse(refused, side=side)

    def _next_gap(self, side: Side) -> float:
        mask, chosen = self._draft.mask, self._draft.chosen
        points = points_of(mask, side=side) if mask is not None else ()
        if not points:
            return _MIDDLE_HZ
        index = chosen.index if chosen is not None and chosen.index < len(points) else 0
        if index + 1 < len(points):
            return math.sqrt(points[index][0] * points[index + 1][0])
        return points[index][0] * 2


def _first_side(draft: Draft) -> Side:
    mask = draft.mask
    if mask is not None and mask.upper is None and value_of(mask, side="lower") is None:
        return "lower"
    return "upper"
