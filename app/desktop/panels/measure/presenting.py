"""Paints the bay as things stand: no take yet, playing, broken off, stopped, a take shown."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Slot

from app.desktop.bench import Bench
from app.desktop.panels.measure.again import Again
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.measure.result import Result
from app.desktop.panels.measure.ribbon import Ribbon
from app.desktop.panels.measure.set_up import SetUp
from app.desktop.panels.measure.shown_takes import ShownTakes
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_gate import gate_state
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_marks import figure_marks
from app.desktop.presenters.measure_numbers import no_numbers, numbers_state
from app.desktop.presenters.measure_ribbon import ribbon_state
from app.desktop.presenters.measure_scene import Scene
from app.desktop.presenters.measure_stale import StaleLink, stale_on
from app.desktop.presenters.measure_stated import level_unit, planned_from_hz
from app.desktop.presenters.measure_verdict import (
    active_verdict,
    failed_verdict,
    no_take_verdict,
    verdict_state,
)
from app.desktop.presenters.measure_warnings import (
    no_warnings,
    warnings_after_failure,
    warnings_state,
    warnings_while_active,
)
from app.desktop.presenters.measure_words import (
    Told,
    words_after_failure,
    words_after_stop,
    words_of_gate,
    words_of_take,
    words_when_empty,
    words_while_active,
)
from app.desktop.presenters.merge_words import may_be_merged
from app.desktop.turns import Turns
from app.measure.areas import geometry_of

if TYPE_CHECKING:
    from app.desktop.run_state import Failure
    from app.measure.events import Finished


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Panels:
    """What is painted."""

    set_up: SetUp
    plots: Plots
    result: Result
    ribbon: Ribbon


class Presenting(QObject):
    """Holds what the bay shows besides its takes, and paints all of it.

    Attributes
    ----------
    failure, has_stopped : Failure or None, bool
        How the last run ended, until the next one begins or another take is shown.
    new_id : str
        Id of the take that has just been made.
    gated : Finished or None
        The shown take as another gate would have it.
    difference : bool
        Whether differences are shown.
    """

    def __init__(
        self,
        bench: Bench,
        *,
        takes: ShownTakes,
        again: Again,
        panels: Panels,
        say: Callable[[BayWords], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._takes, self._again = bench, takes, again
        self._panels, self._say = panels, say
        self.failure: Failure | None = None
        self.failed_number = 0
        self.has_stopped = False
        self.new_id = ""
        self.gated: Finished | None = None
        self.difference = False
        self._told: BayWords | None = None
        self._turns = Turns(self)

    @property
    def chosen(self) -> Shown | None:
        """The take that is shown, through the gate under the hand if there is one."""
        chosen = self._takes.chosen
        if chosen is None or self.gated is None:
            return chosen
        return Shown(take=self.gated.take, number=chosen.number, slot=0)

    @property
    def stale(self) -> tuple[StaleLink, ...]:
        """Links past their term: when the shown take was made; today where there is none."""
        chosen = self.chosen
        if chosen is None:
            return stale_on(self._bench.chain.chain, on=datetime.now(UTC).date())
        return stale_on(chosen.take.chain.chain, on=chosen.take.started_utc.date())

    @property
    def marks(self) -> dict[str, Mark]:
        """Marks of the figures of the shown take."""
        chosen = self.chosen
        return {} if chosen is None else figure_marks(chosen.take, stale=self.stale)

    @Slot(object)
    def tell(self, words: BayWords) -> None:
        """Say what a person's own command did; it stands until something else happens."""
        self._told = words
        self.present_words()

    def move_on(self) -> None:
        """Something else happens: what was told is old."""
        self._told = None

    @Slot()
    def present(self) -> None:
        """Paint everything."""
        self._turns.take(())
        self.present_plots()
        self.present_result()
        self.present_gate()
        self.present_ribbon()
        self.present_words()

    def present_in_turns(self) -> None:
        """Paint everything: verdict and words at once, the rest in turns of the event loop."""
        self.present_result()
        self.present_words()
        self._turns.take((self.present_gate, self.present_ribbon, self.present_plots))

    @property
    def is_painting(self) -> bool:
        """Whether something is still to be painted."""
        return self._turns.is_busy

    def present_plots(self) -> None:
        """Paint the plots; while a take is made, only the reference and what grows."""
        active = self._bench.run.makes_take
        chosen, others = self.chosen, self._takes.shown[1:]
        shown = () if active or chosen is None else (chosen, *others)
        procedure = self._bench.procedure.procedure
        chain = self._bench.chain.chain
        if shown:
            procedure, chain = shown[0].take.procedure, shown[0].take.chain.chain
        self._panels.plots.set_scene(
            Scene(
                shown=shown,
                reference=self._takes.reference,
                masks=procedure.masks,
                level_unit=level_unit(procedure, chain=chain),
                marks=self.marks,
                difference=self.difference and not active,
                planned_from_hz=planned_from_hz(self._bench.procedure.procedure),
                is_playing=active,
            )
        )

    def present_result(self) -> None:
        """Paint verdict, masks, numbers and warnings."""
        result, run, chosen, stale = self._panels.result, self._bench.run, self.chosen, self.stale
        if chosen is None:
            result.set_numbers(no_numbers(self._bench.chain.chain))
        else:
            result.set_numbers(
                numbers_state(
                    chosen.take,
                    number=chosen.number,
                    marks=self.marks,
                    old=run.makes_take,
                    note="regated" if self.gated else "",
                )
            )
        number = chosen.number if chosen else None
        result.offer_merge(offered=chosen is not None and may_be_merged(chosen.take))
        if run.makes_take:
            result.set_verdict(active_verdict(run))
            result.set_warnings(warnings_while_active(number))
        elif self.failure is not None:
            result.set_verdict(failed_verdict(self.failure, number=self.failed_number))
            result.set_warnings(
                warnings_after_failure(self.failure, number=self.failed_number, shown=number)
            )
        elif chosen is None:
            result.set_verdict(no_take_verdict(self._bench.procedure.procedure.masks))
            result.set_warnings(no_warnings())
        else:
            result.set_verdict(verdict_state(chosen.take, stale=stale))
            result.set_warnings(warnings_state(chosen.take, stale=stale))

    def present_gate(self) -> None:
        """Paint geometry and gate."""
        geometry = geometry_of(self._bench.procedure.procedure)
        chosen = self._takes.chosen
        take = self.gated.take if self.gated else chosen.take if chosen else None
        self._panels.set_up.gate.set_state(
            gate_state(
                geometry,
                take=take,
                impulse=self._again.impulse(chosen.take if chosen else None),
                reflection=self._again.reflection(chosen.take if chosen else None),
            ),
            geometry=geometry,
        )
        self._panels.set_up.fit()

    def present_ribbon(self) -> None:
        """Paint the ribbon of takes."""
        takes = self._takes
        reference = takes.reference
        self._panels.ribbon.set_state(
            ribbon_state(
                takes.summaries,
                count=takes.count,
                slots=takes.selection.slots,
                reference=reference.take.id if reference else None,
                run=self._bench.run,
                now=datetime.now().astimezone(),
            )
        )

    def present_words(self) -> None:
        """Say what happened and what comes next."""
        bench, run, chosen = self._bench, self._bench.run, self.chosen
        if run.makes_take:
            kind = bench.procedure.procedure.excitation.kind
            self._say(words_while_active(run, kind=kind))
        elif self._told is not None:
            self._say(self._told)
        elif self.failure is not None:
            self._say(words_after_failure(self.failure, safe=self._takes.count))
        elif self.has_stopped:
            self._say(words_after_stop(run))
        elif chosen is None:
            self._say(words_when_empty(unit=bench.unit, takes=self._takes.count, stale=self.stale))
        elif self.gated is not None:
            gate_ms = self.gated.take.procedure.geometry.gate_ms
            self._say(words_of_gate(chosen.number, gate_ms=gate_ms))
        else:
            told = Told(
                take=chosen.take,
                number=chosen.number,
                is_new=chosen.take.id == self.new_id,
            )
            self._say(words_of_take(told, stale=self.stale))
