"""Connects the choice of a reference unit to worker, plot and store."""

from contextlib import suppress
from dataclasses import dataclass

from PySide6.QtCore import QObject, Slot

from app.desktop.panels.limits.left_column import Tool
from app.desktop.panels.limits.workplace import Workplace
from app.desktop.presenters.limits_reference import reference_state
from app.errors import BadInputError
from app.measure.reference_choice import ReferenceChoice, choose_reference
from app.measure.station_drift import StationDrift, station_drift
from app.measure.station_offset import StationOffsets, station_offsets
from app.measure.trial import Trial
from app.records.store import Store


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Looked:
    choice: ReferenceChoice | None
    drifts: tuple[StationDrift, ...]
    offsets: StationOffsets | None
    refused: str


class ChoosingReference(QObject):
    """R opens the tool; a row draws its unit, Enter makes it the reference."""

    def __init__(self, at: Workplace) -> None:
        super().__init__(at.draft)
        self._bench, self._keeper, self._left = at.bench, at.keeper, at.left
        self._says, self._presenting = at.says, at.presenting
        at.left.reference.looked_at.connect(self._draw)
        at.left.reference.wanted.connect(self._set)

    @Slot()
    def begin(self) -> None:
        """Show the tool, if there are units to choose from."""
        behind = self._keeper.behind
        if behind is None or not behind.trial.size:
            self._says.tell_plainly(
                "There is no unit to choose from.", next_step="measure some units, then press R."
            )
            return
        self._left.show_tool(Tool.REFERENCE)
        self._says.ask_tool("Which unit shall the others be compared with?", enter="makes it so")
        store, trial = self._bench.store, behind.trial
        self._bench.worker.ask(
            "limits: reference",
            lambda: _look(store, trial),
            then=lambda found: self._show(found, trial=trial),
            refused=lambda error: self._says.refuse(
                str(error), what="Not ranked", next_step="Esc leaves this."
            ),
        )

    def _show(self, found: _Looked, *, trial: Trial) -> None:
        self._left.reference.set_state(
            reference_state(
                trial,
                found.choice,
                drifts=found.drifts,
                offsets=found.offsets,
                refused=found.refused,
            )
        )
        if found.choice is not None:
            self._draw(found.choice.best.unit)

    @Slot(int)
    def _draw(self, unit: int) -> None:
        if unit not in self._presenting.shown.drawn:
            self._presenting.toggle(unit)

    @Slot(int, str, str)
    def _set(self, place: int, by: str, why: str) -> None:
        behind = self._keeper.behind
        if behind is None:
            return
        store, unit = self._bench.store, behind.trial.units[place]
        self._bench.worker.ask(
            "limits: set reference",
            lambda: store.set_reference(unit.take_id, by=by, why=why),
            then=lambda _: self._done(unit.serial),
            refused=lambda error: self._says.refuse(
                str(error), what="Not set", next_step="put that right and press Enter again."
            ),
        )

    def _done(self, serial: str) -> None:
        self._left.reference.why.set_text("")
        self._left.show_point()
        self._says.tell(
            f"{serial} is the reference unit from now on.",
            next_step="masks that compare with it judge anew; keep the unit in a safe place.",
        )
        self._bench.store_changed.emit()


def _look(store: Store, trial: Trial) -> _Looked:
    reference, refused, choice = trial.reference, "", None
    try:
        choice = choose_reference(trial)
    except BadInputError as error:
        refused = error.sentence
    drifts: tuple[StationDrift, ...] = ()
    if reference is not None and reference.unit is not None:
        drifts = station_drift(store, procedure=trial.procedure, serial=reference.unit)
    offsets: StationOffsets | None = None
    with suppress(BadInputError):  # one station, or none that shares a unit with another
        offsets = station_offsets(store, procedure=trial.procedure)
    return _Looked(choice=choice, drifts=drifts, offsets=offsets, refused=refused)
