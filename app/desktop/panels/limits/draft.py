"""The draft of the limits: which mask and point are chosen, and every edit of them."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.presenters.limits_figures import mask_title
from app.desktop.presenters.limits_point import Chosen
from app.desktop.presenters.limits_scale import scale_of
from app.procedure.drag import dragged
from app.procedure.edit_masks import (
    EditRefusedError,
    Side,
    points_of,
    set_value,
    value_of,
)
from app.procedure.mask_schema import Mask, Point
from app.procedure.procedure_limits import with_own_masks

Change = Callable[[Mask], Mask]


class Draft(QObject):
    """What is edited; the procedure on the bench is the truth, but for a point under the hand.

    A drag is shown as it goes (``moved``) and reaches the bench, and so the undo stack, when it
    ends.
    """

    chosen_changed = Signal()  # another mask or point
    moved = Signal()  # limits are others, on the bench or under the hand

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._name = next(iter(bench.procedure.procedure.masks), None)
        self._chosen: Chosen | None = None
        self._under_hand: Mask | None = None
        # As they were before the last edit.
        self._seen: Mapping[str, Mask] = bench.procedure.procedure.masks
        self._gesture = 0
        self.series: int | None = 40
        bench.procedure_changed.connect(self._follow)

    @property
    def name(self) -> str | None:
        """The chosen mask; None where the procedure has none."""
        return self._name

    @property
    def chosen(self) -> Chosen | None:
        """The chosen point of it."""
        return self._chosen

    @property
    def masks(self) -> Mapping[str, Mask]:
        """All masks, a point under the hand included."""
        masks = self._bench.procedure.procedure.masks
        if self._under_hand is None or self._name is None:
            return masks
        return {**masks, self._name: self._under_hand}

    @property
    def mask(self) -> Mask | None:
        """The chosen mask as it is now."""
        return None if self._name is None else self.masks.get(self._name)

    @property
    def is_dragging(self) -> bool:
        """Whether a point is under the hand."""
        return self._under_hand is not None

    def choose(self, name: str) -> None:
        """Choose a mask."""
        if name != self._name and name in self.masks:
            self._name, self._chosen, self._under_hand = name, None, None
            self.chosen_changed.emit()

    def choose_point(self, chosen: Chosen | None) -> None:
        """Choose a point."""
        if chosen != self._chosen:
            self._chosen = chosen
            self.chosen_changed.emit()

    def edit(self, change: Change, *, text: str, gesture: str = "") -> EditRefusedError | None:
        """Change the chosen mask, so that it can be undone; return why it was refused.

        Parameters
        ----------
        change : callable
            From the mask as it is to the mask as it shall be.
        text : str
            What is done, for the undo menu; the mask's name is added.
        gesture : str
            Edits of the same gesture that follow each other are undone as one.
        """
        mask, name = self.mask, self._name
        if mask is None or name is None:
            return None
        try:
            changed = change(mask)
        except EditRefusedError as error:
            return error
        gesture = gesture and f"{name} {gesture}"
        self._put(changed, text=f"{text} of {mask_title(name)}", gesture=gesture)
        return None

    def put_masks(self, masks: Mapping[str, Mask], *, text: str) -> None:
        """Put other masks on the bench, all at once."""
        loaded = self._bench.procedure
        procedure = with_own_masks(loaded.procedure, masks)
        self._bench.edit_procedure(replace(loaded, procedure=procedure), text=text)

    def take(self, side: Side, index: int) -> None:
        """Begin to drag a point."""
        self.choose_point(Chosen(side=side, index=index))
        self._gesture += 1

    def drag(self, hz: float, value: float) -> None:
        """Move the point that was taken as near to a place in the plot as it may come."""
        loaded, chosen = self._bench.procedure.procedure.masks, self._chosen
        start = loaded.get(self._name or "")
        if start is None or chosen is None:
            return
        try:
            self._under_hand = self._dragged(start, chosen, to=(hz, scale_of(start).figure(value)))
        except EditRefusedError:
            return  # the point stays where it was last allowed
        self.moved.emit()

    def let_go(self, *, by_key: bool) -> None:
        """End a drag: what it came to is one edit; arrows on one point in a row are one, too."""
        moved, self._under_hand = self._under_hand, None
        if moved is None or self._name is None or self._chosen is None:
            return
        place = f"{self._chosen.side} {self._chosen.index}"
        gesture = f"{self._name} {place} keys" if by_key else f"{self._name} drag {self._gesture}"
        if moved != self.masks[self._name]:
            self._put(moved, text=f"Move a point of {mask_title(self._name)}", gesture=gesture)
        else:
            self.moved.emit()

    def _dragged(self, start: Mask, chosen: Chosen, *, to: Point) -> Mask:
        step = scale_of(start).step(start.quantity, near=to[1])
        if value_of(start, side=chosen.side) is not None:
            return set_value(start, side=chosen.side, value=round(round(to[1] / step) * step, 9))
        return dragged(
            start, side=chosen.side, index=chosen.index, to=to, series=self.series, step=step
        )

    def _put(self, mask: Mask, *, text: str, gesture: str) -> None:
        loaded, name = self._bench.procedure, self._name
        if name is None or mask == loaded.procedure.masks.get(name):
            return
        masks = {**loaded.procedure.masks, name: mask}
        procedure = with_own_masks(loaded.procedure, masks)
        self._bench.edit_procedure(replace(loaded, procedure=procedure), text=text, gesture=gesture)

    @Slot(object)
    def _follow(self, _loaded: object) -> None:
        """Keep what is chosen as long as it is there."""
        self._under_hand = None
        masks, before = self.masks, self._seen
        self._seen = masks
        was = self._name, self._chosen
        changed = [name for name, mask in masks.items() if mask != before.get(name)]
        if len(changed) == 1 and changed != [self._name]:  # what is taken back comes into sight
            self._name, self._chosen = changed[0], None
        if self._name is None or self._name not in masks:
            self._name, self._chosen = next(iter(masks), None), None
        elif self._chosen is not None:
            self._chosen = _still_there(self._chosen, masks[self._name])
        if (self._name, self._chosen) != was:
            self.chosen_changed.emit()
        self.moved.emit()


def _still_there(chosen: Chosen, mask: Mask) -> Chosen | None:
    side = chosen.side
    count = len(points_of(mask, side=side)) or int(value_of(mask, side=side) is not None)
    if chosen.index < count:
        return chosen
    return Chosen(side=side, index=count - 1) if count else None
