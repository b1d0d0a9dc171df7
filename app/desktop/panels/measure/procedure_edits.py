"""Edits of the procedure from the left column: each can be undone, each refusal stays beside."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QFileDialog

from app.desktop.bench import Bench
from app.desktop.panels.measure.set_up import SetUp
from app.desktop.presenters.excitation import (
    Refused,
    excitation_card,
    refused_by_chain,
    refused_of,
)
from app.desktop.presenters.measure_will_do import nothing_plays, will_do_state
from app.errors import BadInputError
from app.measure.will_do import WillDo, known_sensitivity, will_do
from app.procedure.edit_excitation import (
    with_file,
    with_kind,
    with_level_unit,
    with_part,
    with_typed,
    without_part,
)
from app.procedure.edit_geometry import with_geometry, with_typed_geometry
from app.procedure.excitation_fields import part_of
from app.procedure.excitation_schema import Series
from app.procedure.loaded import LoadedProcedure
from hardware.errors import ValueRefusedError

# What a key of the geometry is called, and what it is where nothing was typed.
_GEOMETRY = {
    "gate_ms": ("gate", "open"),
    "distance_m": ("distance", "its default"),
    "radiator_cm2": ("radiating area", "none"),
    "baffle_edge_m": ("way to the baffle's edge", "unknown"),
}
_AUDIO = "Audio (*.wav *.flac *.aiff *.ogg)"

Change = Callable[[LoadedProcedure], LoadedProcedure]


class ProcedureEdits(QObject):
    """Turns what is typed, chosen and dragged into edits; predicts what they will do.

    ``refused`` (one line) tells of what belongs beside no field.
    """

    refused = Signal(str)
    predicted = Signal()

    def __init__(self, bench: Bench, set_up: SetUp, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench, self._set_up = bench, set_up
        self._part: int | None = None
        self._refused: Refused | None = None
        self._is_loud = False
        self._wire()

    @property
    def is_loud(self) -> bool:
        """Whether what would play exceeds 85 dB at the ear, as far as is known by now."""
        return self._is_loud

    @Slot()
    def present(self) -> None:
        """Show the procedure as it is now, and what it will do."""
        excitation = self._bench.procedure.procedure.excitation
        parts = len(excitation.parts) if isinstance(excitation, Series) else 0
        if self._part is not None and self._part >= parts:
            self._part = None
        self._set_up.excitation.set_card(
            excitation_card(excitation, part=self._part, refused=self._refused)
        )
        self._set_up.specimen.set_specimen(unit=self._bench.unit, lot=self._bench.lot)
        self._set_up.fit()
        self.predict()

    @Slot()
    def forget_refusal(self) -> None:
        """Show what stands in the procedure in place of what was typed and refused."""
        self._refused = None
        self._set_up.gate.forget_refusals()
        self.present()

    @Slot()
    def predict(self) -> None:
        """Ask what playing it would do."""
        bench = self._bench
        loaded, chain, store = bench.procedure, bench.chain, bench.store
        unit, lot = bench.unit, bench.lot

        def work() -> WillDo:
            known = known_sensitivity(store, unit=unit, lot=lot)
            return will_do(loaded, chain, sensitivity_db=known)

        bench.worker.ask(
            "what the excitation will do", work, then=self._predicted, refused=self._must_not_play
        )

    def _predicted(self, will: WillDo) -> None:
        if self._refused is not None and self._refused.text is None:
            self._refuse(None)
        state = will_do_state(will)
        self._is_loud = state.is_loud
        self._set_up.will_do.set_state(state)
        self._set_up.fit()
        self.predicted.emit()

    def _must_not_play(self, error: Exception) -> None:
        refused = None
        if isinstance(error, BadInputError):
            refused = refused_by_chain(error.where, error.sentence, kind=self._kind())
        if refused is not None and (self._refused is None or self._refused.text is None):
            self._refuse(refused)
        state = nothing_plays(str(error), is_told=refused is not None)
        self._set_up.will_do.set_state(state)
        self._set_up.fit()
        self.predicted.emit()

    def _kind(self) -> str:
        card = self._set_up.excitation.card
        return card.kind if card is not None else ""

    def _refuse(self, refused: Refused | None) -> None:
        self._refused = refused
        self._set_up.excitation.set_card(
            excitation_card(
                self._bench.procedure.procedure.excitation, part=self._part, refused=refused
            )
        )
        self._set_up.fit()

    def _change(self, change: Change, *, text: str, field: str = "", typed: str = "") -> None:
        """Make an edit, or keep what was typed with the reason why it cannot stand."""
        try:
            changed = change(self._bench.procedure)
        except ValueRefusedError as error:
            self._refuse(refused_of(error, kind=self._kind(), field=field, text=typed))
            return
        self._refused = None
        if changed.procedure == self._bench.procedure.procedure:
            self.present()  # typed otherwise, meant the same
            return
        self._bench.edit_procedure(changed, text=text)

    @Slot(str, str)
    def _typed(self, field: str, text: str) -> None:
        part = self._part
        self._change(
            lambda loaded: with_typed(loaded, field, text, part=part),
            text=f"set {field.replace('_', ' ')} to {text}",
            field=field,
            typed=text,
        )

    @Slot(str)
    def _ask_kind(self, kind: str) -> None:
        part = self._part
        if kind == "file":
            self._ask_file()
            return
        if kind == "series":
            self._part = 0
        self._change(
            lambda loaded: with_kind(loaded, kind, part=part),
            text=f"play a {kind.replace('_', ' ')}",
        )

    def _ask_file(self) -> None:
        part = self._part
        start = str(Path(self._bench.procedure.file).parent)
        name, _ = QFileDialog.getOpenFileName(self._set_up, "Play an audio file", start, _AUDIO)
        if not name:
            self.present()  # the kind stays what it was
            return
        try:
            changed = with_file(self._bench.procedure, Path(name), part=part)
        except ValueRefusedError as error:
            self.refused.emit(error.sentence)
            self.present()
            return
        self._bench.edit_procedure(changed, text=f"play {Path(name).name}")

    @Slot(str)
    def _ask_level_unit(self, unit: str) -> None:
        nominal, part = self._bench.chain.chain.output.drive.nominal_ohm, self._part
        self._change(
            lambda loaded: with_level_unit(loaded, unit, nominal_ohm=nominal, part=part),
            text=f"state the level in {unit}",
            field="level",
            typed=self._level_text(),
        )

    def _level_text(self) -> str:
        excitation = self._bench.procedure.procedure.excitation
        card = excitation_card(excitation, part=self._part)
        return next((field.text for field in card.fields if field.id == "level"), "")

    @Slot(object)
    def _ask_part(self, part: int | None) -> None:
        self._part, self._refused = part, None
        self.present()

    @Slot()
    def _add_part(self) -> None:
        excitation, after = self._bench.procedure.procedure.excitation, self._part or 0
        kind = str(getattr(part_of(excitation, after), "kind"))  # noqa: B009  every kind has one
        self._part = after + 1
        self._change(lambda loaded: with_part(loaded, kind, after=after), text="add a part")

    @Slot()
    def _remove_part(self) -> None:
        part, self._part = self._part or 0, None
        self._change(lambda loaded: without_part(loaded, part), text="remove a part")

    @Slot(str, str)
    def _geometry_typed(self, key: str, text: str) -> None:
        try:
            changed = with_typed_geometry(self._bench.procedure, key, text)
        except ValueRefusedError as error:
            self._set_up.gate.refuse(key, error.sentence)
            self._set_up.fit()
            return
        self._set_up.gate.accept(key)
        name, nothing = _GEOMETRY[key]
        self._bench.edit_procedure(changed, text=f"set the {name} to {text or nothing}")

    @Slot(str)
    def _ask_mounting(self, mounting: str) -> None:
        changed = with_geometry(self._bench.procedure, "mounting", mounting)
        self._bench.edit_procedure(changed, text="change the mounting")

    @Slot(float)
    def set_gate(self, gate_ms: float) -> None:
        """Take the gate where it was dragged; one drag is one edit."""
        shown = round(max(gate_ms, 0.5), 2)
        changed = with_geometry(self._bench.procedure, "gate_ms", shown)
        self._set_up.gate.accept("gate_ms")
        self._bench.edit_procedure(changed, text=f"set the gate to {shown:g} ms")

    @Slot(str, str)
    def _name_specimen(self, unit: str, lot: str) -> None:
        self._bench.set_specimen(unit=unit or None, lot=lot or None)

    def _wire(self) -> None:
        bench, card, gate = self._bench, self._set_up.excitation, self._set_up.gate
        card.kind_asked.connect(self._ask_kind)
        card.typed.connect(self._typed)
        card.level_unit_asked.connect(self._ask_level_unit)
        card.part_asked.connect(self._ask_part)
        card.part_added.connect(self._add_part)
        card.part_removed.connect(self._remove_part)
        gate.typed.connect(self._geometry_typed)
        gate.mounting_asked.connect(self._ask_mounting)
        gate.gate_released.connect(self.set_gate)
        self._set_up.specimen.changed.connect(self._name_specimen)
        for changed in (bench.procedure_changed, bench.chain_changed, bench.specimen_changed):
            changed.connect(self._renew)

    def _renew(self, *_: object) -> None:
        if self._refused is not None and self._refused.text is None:
            self._refused = None
        self.present()
