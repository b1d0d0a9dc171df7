"""From draft and trial to what the panels paint; computes nothing, keeps only what is drawn."""

from collections.abc import Mapping
from datetime import UTC, datetime

import numpy as np
from PySide6.QtCore import QObject, Slot

from app.desktop.bench import Bench
from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.left_column import LeftColumn
from app.desktop.panels.limits.right_column import RightColumn
from app.desktop.panels.limits.show_units import ShowUnits
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.panels.limits.units_plot import UnitsPlot
from app.desktop.presenters.limits_figures import mask_title, unit_of
from app.desktop.presenters.limits_inspection import Inspected, inspected
from app.desktop.presenters.limits_masks import mask_rows
from app.desktop.presenters.limits_note import point_note
from app.desktop.presenters.limits_plot import limit_lines
from app.desktop.presenters.limits_point import point_state
from app.desktop.presenters.limits_range import value_range
from app.desktop.presenters.limits_revisions import revisions_state
from app.desktop.presenters.limits_scale import scale_of
from app.desktop.presenters.limits_table import point_rows
from app.desktop.presenters.limits_trial import trial_state
from app.desktop.presenters.limits_words import Standing
from app.procedure.edit_masks import points_of
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS
from app.procedure.schema import Procedure
from app.records.limit_revisions import LimitRevision


class Presenting(QObject):
    """Paints the columns; ``shown`` paints the units in the middle one."""

    def __init__(
        self,
        bench: Bench,
        *,
        draft: Draft,
        keeper: TrialKeeper,
        columns: tuple[LeftColumn, UnitsPlot, RightColumn],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._bench, self._draft, self._keeper = bench, draft, keeper
        self._left, self._units, self._right = columns
        self.held_against: LimitRevision | None = None
        self._right.flips.selection_changed.connect(self._present_inspected)
        self.shown = ShowUnits(bench, draft=draft, keeper=keeper, units=self._units)

    @property
    def base_masks(self) -> Mapping[str, Mask]:
        """Masks drawn under the draft: of the revision it is held against, or those in force."""
        behind = self._keeper.behind
        if behind is None:
            return {}
        return behind.force.masks if self.held_against is None else self.held_against.masks

    @property
    def on_bench(self) -> LimitRevision | None:
        """Which revision the bench has; None: one that was not saved, or not known yet."""
        return None if self._keeper.seen is None else self._keeper.seen.on_bench

    @property
    def standing(self) -> Standing:
        """What is on the bench, and what lines run."""
        behind, one, named = self._keeper.behind, self.on_bench, self._procedure.limits
        approved = behind.force.approved if behind is not None else None
        return Standing(
            on_bench=one,
            is_other=behind is not None and dict(behind.force.masks) != dict(self._draft.masks),
            runs=one is not None
            and one == approved
            and named is not None
            and (named.set, named.revision) == (one.set_name, one.number),
            now_name=self.now_name,
            bench_name="the draft" if one is None else f"revision {one.number}",
            next_number=behind.force.next_number if behind is not None else 1,
        )

    @property
    def _procedure(self) -> Procedure:
        return self._bench.procedure.procedure

    @property
    def inspected(self) -> Inspected | None:
        """Several selected units, or the one drawn last: what a mark would be of."""
        behind = self._keeper.behind
        return inspected(
            behind.trial if behind is not None else None,
            drawn=self.shown.drawn,
            selected=self._right.flips.selected,
        )

    @property
    def now_name(self) -> str:
        """What the limits in force are called within a sentence."""
        approved = self._keeper.behind.force.approved if self._keeper.behind else None
        return "the limits as opened" if approved is None else f"revision {approved.number}"

    def hold_against(self, one: LimitRevision | None) -> None:
        """Draw another revision under the draft; None: the one in force."""
        self.held_against = one
        self.present_limits()

    def toggle(self, unit: int) -> None:
        """Draw a unit's curve, or no longer."""
        self.shown.toggle(unit)
        self.present_limits()
        self._present_right()

    @Slot()
    def present_limits(self) -> None:
        """Show masks and the chosen point in plot, fields and table."""
        draft = self._draft
        mask, chosen = draft.mask, draft.chosen
        self._left.point.set_state(point_state(mask, chosen=chosen))
        rows = point_rows(mask)
        self._left.points.set_rows(
            rows,
            fact=f"{len(rows)} of {mask_title(draft.name)}" if draft.name else "",
            unit="" if mask is None else unit_of(mask.quantity),
        )
        self._left.points.choose(chosen)
        self._left.show_tool(self._left.tool)  # a number has no points to list
        is_number = mask is not None and mask.quantity in NUMBERS
        if mask is None or is_number:
            self._units.plot.set_masks(())
        else:
            self._units.plot.set_masks(
                limit_lines(
                    mask,
                    before=self.base_masks.get(draft.name or ""),
                    chosen=chosen,
                    broken_by=tuple(line.name for line in self._units.plot.lines),
                )
            )
        self._present_note()

    @Slot()
    def fit_values(self) -> None:
        """Give the value axis what masks and units need; not while a hand moves a point."""
        seen, name = self._keeper.seen, self._draft.name
        if self._draft.is_dragging or name is None:
            return
        known = seen is not None and seen.name == name
        found = value_range(
            (self._draft.mask, self.base_masks.get(name)),
            held=seen.held if seen is not None and known else None,
            spread=seen.spread if seen is not None and known else None,
        )
        low, high = found if found is not None else (None, None)
        self._units.plot.set_y(low, high)

    @Slot()
    def present_judged(self) -> None:
        """Show what a draft does to the units."""
        draft, keeper = self._draft, self._keeper
        seen = keeper.seen
        self._left.masks.set_rows(
            mask_rows(draft.masks, judged=None if seen is None else seen.found.draft),
            chosen=draft.name,
        )
        self.shown.present()
        self.fit_values()
        self._present_right()
        self._present_revisions()
        self._present_note()

    def _present_right(self) -> None:
        seen, behind = self._keeper.seen, self._keeper.behind
        self._right.set_state(
            trial_state(
                behind.trial if behind is not None else None,
                seen.found if seen is not None else None,
                now_name=self.now_name.removeprefix("the limits "),
                draft_name=self._draft_name(),
            ),
            drawn=self.shown.drawn,
        )
        self._present_inspected()

    @Slot()
    def _present_inspected(self) -> None:
        self._right.inspection.set_state(self.inspected)

    def _draft_name(self) -> str:
        standing = self.standing
        if standing.on_bench is None:
            return "draft" if standing.is_other else "no draft"
        return standing.bench_name if standing.is_other else "no draft"

    def _present_revisions(self) -> None:
        behind = self._keeper.behind
        if behind is None:
            return
        base, masks = behind.force.masks, self._draft.masks
        edits = sum(base.get(name) != masks.get(name) for name in {**base, **masks})
        self._left.revisions.set_state(
            revisions_state(
                behind.force,
                on_bench=self.on_bench,
                edits=edits,
                today=datetime.now(UTC).astimezone().date(),
            ),
            is_draft=self.on_bench is None,
        )

    def _present_note(self) -> None:
        draft, keeper = self._draft, self._keeper
        mask, chosen = draft.mask, draft.chosen
        if mask is None or draft.name is None:
            self._units.note.say((), at=None)
            return
        words = point_note(
            mask,
            name=draft.name,
            before=self.base_masks.get(draft.name),
            chosen=chosen,
            found=keeper.seen.found if keeper.seen is not None else None,
            trial=keeper.behind.trial if keeper.behind is not None else None,
        )
        points = points_of(mask, side=chosen.side) if chosen is not None else ()
        at = None
        if words and chosen is not None:
            hz, value = points[chosen.index]
            at = (hz, float(scale_of(mask).drawn(np.array(value))))
        self._units.note.say(words, at=at)
