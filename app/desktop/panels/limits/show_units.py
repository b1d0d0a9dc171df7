"""The units behind the chosen mask, in the middle column: what stands still under a moving hand."""

from app.desktop.bench import Bench
from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.trial_keeper import Behind, Seen, TrialKeeper
from app.desktop.panels.limits.units_plot import UnitsPlot
from app.desktop.presenters.limits_figures import held_as, mask_title, unit_of
from app.desktop.presenters.limits_hints import Hints, limits_hints
from app.desktop.presenters.limits_plot import (
    plot_spread,
    unit_lines,
    unit_notes,
)
from app.desktop.presenters.limits_scale import scale_of
from app.desktop.presenters.limits_values import values_state
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS

MOST_DRAWN = 3


class ShowUnits:
    """Paints curves or values, and margins; curves only when they have changed.

    ``drawn`` are the units whose curves are shown, by their place in the trial.
    """

    def __init__(
        self, bench: Bench, *, draft: Draft, keeper: TrialKeeper, units: UnitsPlot
    ) -> None:
        self._bench, self._draft, self._keeper, self._units = bench, draft, keeper, units
        self.drawn: list[int] = []
        self._shown: tuple[object, ...] | None = None
        self._notes: object = ()

    def toggle(self, unit: int) -> None:
        """Draw a unit's curve, or no longer; of too many the first goes."""
        if unit in self.drawn:
            self.drawn.remove(unit)
        else:
            self.drawn = [*self.drawn, unit][-MOST_DRAWN:]
        self.present()

    def keep_drawn(self, before: Trial | None, now: Trial) -> None:
        """Find the drawn units again among units that were read anew."""
        if before is None:
            self.drawn = []
            return
        places = {unit.serial: place for place, unit in enumerate(now.units)}
        serials = [before.units[unit].serial for unit in self.drawn]
        self.drawn = [places[serial] for serial in serials if serial in places]

    def present(self) -> None:
        """Show what there is."""
        draft, seen, behind = self._draft, self._keeper.seen, self._keeper.behind
        mask = draft.mask
        known = seen if seen is not None and seen.name == draft.name else None
        shown = (
            draft.name,
            mask and (mask.quantity, mask.relative_to, mask.align),
            known and (known.held, known.spread),
            behind,
            tuple(self.drawn),
        )
        if shown != self._shown:  # arrays are told apart by identity: results never change
            self._shown = shown
            self._present_words(mask)
            self._present_curves(mask, known, behind=behind)
        result = seen.found.draft.masks.get(draft.name or "") if seen is not None else None
        self._units.set_judged(result)
        self._present_notes(result, known, behind=behind)
        if mask is not None and mask.quantity in NUMBERS:
            self._present_values(result, behind=behind)

    def _present_notes(
        self, result: MaskTrial | None, seen: Seen | None, *, behind: Behind | None
    ) -> None:
        """Write serials beside the curves, where each is nearest to a limit."""
        notes = unit_notes(
            seen.held if seen is not None else None,
            chosen=self.drawn,
            trial=behind.trial if behind is not None else None,
            result=result,
        )
        if notes != self._notes:
            self._notes = notes
            self._units.plot.set_notes(notes)

    def _present_words(self, mask: Mask | None) -> None:
        units, name = self._units, self._draft.name
        title = mask_title(name) if name is not None else "No mask"
        held = "" if mask is None else held_as(mask)
        unit = "" if mask is None else unit_of(mask.quantity)
        units.show_number(shown=mask is not None and mask.quantity in NUMBERS)
        units.plot.set_words(title, held)
        units.plot.set_per_cent(is_per_cent=mask is not None and scale_of(mask).is_per_cent)
        units.values.set_words(title, ", ".join(filter(None, (held, "unit by unit"))))
        units.dots.set_words("Margin", ", ".join(filter(None, (unit, "each dot a unit"))))

    def _present_curves(
        self, mask: Mask | None, seen: Seen | None, *, behind: Behind | None
    ) -> None:
        plot = self._units.plot
        names = behind.trial.names if behind is not None else ()
        self._units.lift({unit: names[unit] for unit in self.drawn})
        held, spread = (seen.held, seen.spread) if seen is not None else (None, None)
        self._hint(behind)
        if mask is None or behind is None or held is None or spread is None:
            plot.set_spread(None)
            plot.set_lines(())
            plot.set_valid(None, None)
            return
        plot.set_hint("")
        plot.set_spread(plot_spread(held, spread=spread, trial=behind.trial, scale=scale_of(mask)))
        plot.set_lines(unit_lines(held, chosen=self.drawn, trial=behind.trial, mask=mask))
        plot.set_valid(held.low_hz, held.high_hz, held.low_reason, high_reason=held.high_reason)

    def _present_values(self, result: MaskTrial | None, *, behind: Behind | None) -> None:
        state = values_state(behind.trial if behind is not None else None, result)
        self._units.values.set_points(state.points)
        self._units.values.set_groups(state.groups)
        self._units.values.set_limits(state.limits)

    def _hint(self, behind: Behind | None) -> None:
        """Say what will stand in the empty plots."""
        hints = Hints()
        if behind is not None:
            hints = limits_hints(
                self._bench.procedure.procedure.name,
                has_mask=self._draft.mask is not None,
                has_units=bool(behind.trial.size),
            )
        self._units.plot.set_hint(hints.units)
        self._units.values.set_hint(hints.units)
        self._units.dots.set_hint(hints.margins)
