"""One point of a mask on its way, from the press to the release."""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QPointF

from app.desktop.plots.frame import Frame
from app.desktop.plots.frequency_scene import FrequencyScene
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.mask_keys import Step
from app.desktop.plots.mask_line import corners_px, point_near

Masks = tuple[PlotMask, ...]
_TREMBLE = 3.0  # px


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MaskDrag:
    """Which point, and where it is now; the plot shows it there before anybody answers.

    ``grip`` is how far off its middle the point was taken, px: it doesn't jump at the press.
    """

    mask: PlotMask
    index: int
    others: Masks
    place: int
    grip: QPointF
    pressed_at: QPointF
    has_moved: bool = False

    @staticmethod
    def begun(scene: FrequencyScene, frame: Frame, at: QPointF) -> "MaskDrag | None":
        """Take the point under a pixel; None where there is none."""
        for place, mask in enumerate(scene.masks):
            index = point_near(frame, mask, at) if mask.editable else None
            if index is not None:
                corners = corners_px(frame, mask)
                x = at.x() if mask.is_single else float(corners.x[index])
                grip = at - QPointF(x, float(corners.y[index]))
                return _taken(scene.masks, place=place, index=index, grip=grip, at=at)
        return None

    @staticmethod
    def of_chosen(scene: FrequencyScene) -> "MaskDrag | None":
        """Take the chosen point, for the keys."""
        for place, mask in enumerate(scene.masks):
            if mask.editable and mask.chosen is not None:
                nowhere = QPointF()
                return _taken(scene.masks, place=place, index=mask.chosen, grip=nowhere, at=nowhere)
        return None

    @staticmethod
    def none_chosen(masks: Masks) -> Masks | None:
        """Return masks without a chosen point; None if it was so already."""
        if all(mask.chosen is None for mask in masks):
            return None
        return tuple(replace(mask, chosen=None) for mask in masks)

    @property
    def name(self) -> str:
        """Which mask."""
        return self.mask.name

    @property
    def hz(self) -> float:
        """Where the point is, Hz; NaN for a single value."""
        return float("nan") if self.mask.is_single else float(self.mask.hz[self.index])

    @property
    def value(self) -> float:
        """Its value now."""
        return float(self.mask.values[self.index])

    def masks(self) -> Masks:
        """Return all masks as they are now."""
        return (*self.others[: self.place], self.mask, *self.others[self.place :])

    def is_jitter(self, at: QPointF) -> bool:
        """Tell whether a hand that only pressed has trembled: a press alone moves nothing."""
        return not self.has_moved and (at - self.pressed_at).manhattanLength() < _TREMBLE

    def moved_to(self, frame: Frame, at: QPointF) -> "MaskDrag":
        """Return it under another pixel, inside the frame and between its neighbours."""
        x = min(max(at.x() - self.grip.x(), frame.left), frame.right_edge)
        y = min(max(at.y() - self.grip.y(), frame.top), frame.bottom)
        moved = self.mask.moved(self.index, hz=10 ** frame.x_at(x), value=frame.y_at(y))
        return replace(self, mask=moved, has_moved=True)

    def stepped(self, step: Step) -> "MaskDrag":
        """Return it a step further."""
        hz = 1.0 if self.mask.is_single else self.hz * float(np.exp2(step.octaves))
        return replace(self, mask=self.mask.moved(self.index, hz=hz, value=self.value + step.value))


def _taken(masks: Masks, *, place: int, index: int, grip: QPointF, at: QPointF) -> MaskDrag:
    others = tuple(replace(mask, chosen=None) for at, mask in enumerate(masks) if at != place)
    chosen = replace(masks[place], chosen=index)
    return MaskDrag(mask=chosen, index=index, others=others, place=place, grip=grip, pressed_at=at)
