"""Keeps how the moving mass is found: what belongs to the procedure is an edit of it."""

from dataclasses import replace
from typing import get_args

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.panels.measure.shown_takes import ShownTakes
from app.desktop.panels.parameters.method_form import MethodPanel
from app.desktop.presenters.figures import interval_text, value_text
from app.desktop.presenters.measure_words import words_said
from app.desktop.presenters.parameters_method import (
    Keys,
    MethodForm,
    asked_of,
    first_method,
    method_state,
    scale_keys,
    second_options,
)
from app.measure.areas import area_of
from app.measure.scaling import ScaleKind, Scaling
from dsp import Number
from dsp.parameters.surroundings import Known
from hardware.errors import ValueRefusedError
from hardware.toml_edit import with_values


class MethodView(QObject):
    """Turns what is typed into a Scaling (``changed``) and into edits of the procedure.

    ``said`` (BayWords) tells what a key did.
    """

    changed = Signal()
    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        actions: Actions,
        takes: ShownTakes,
        panel: MethodPanel,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._takes, self._panel = bench, takes, panel
        self._mass: Number | None = None
        self._refusal = ""
        self._form = self._first()
        self._is_editing = False
        self._keep_action = actions.of("keep_mass")
        self._keep_action.triggered.connect(self.keep_mass)
        self._keep_action.setEnabled(False)
        panel.typed.connect(self._type)
        panel.chosen.connect(self._choose)
        panel.given_up.connect(self._follow)
        bench.procedure_changed.connect(self._follow)
        takes.ribbon_changed.connect(self._offer)
        takes.changed.connect(self._offer)
        self._paint()

    @property
    def scaling(self) -> Scaling:
        """How the mass is found now; by nothing where something is missing."""
        return method_state(self._form).scaling

    def told(self, mass: Number | None, *, refusal: str) -> None:
        """Hear what the method gave, and what it says against itself."""
        self._mass, self._refusal = mass, refusal
        self._keep_action.setEnabled(mass is not None and bool(self.scaling.second))
        self._paint()

    @Slot()
    def keep_mass(self) -> None:
        """Put the mass that a second take told into the procedure, as one that is known."""
        mass = self._mass
        if mass is None or not self.scaling.second:
            return
        half = mass.uncertainty or 0.0
        known = Known(value=1e-3 * mass.value, standard=1e-3 * half / mass.k)
        how = f"{mass.how}, take {self.scaling.second[:8]}"
        keys = scale_keys(Scaling(kind="known_mass", amount=known), mms_from=how)
        self._edit(keys, text=f"moving mass by {mass.how}")
        self._form = self._first()
        self._paint()
        self.changed.emit()
        told = f"{value_text(mass.value, half)} g {interval_text(half)}".strip()
        self.said.emit(
            words_said(
                f"Mms {told} stands in the procedure, by {mass.how}.",
                next_step="press D: the take is derived again and kept with it.",
            )
        )

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        self._form = self._form.typed(key, text)
        self._settle()

    @Slot(str, str)
    def _choose(self, what: str, key: str) -> None:
        if what == "second":
            self._form = replace(self._form, second=key)
        else:
            kind = next(one for one in get_args(ScaleKind) if one == key)
            texts = {**self._form.texts, "amount": "", "amount_interval": ""}
            laid_over = [one.take.id for one in self._takes.shown[1:]]
            second = self._form.second or next(iter(laid_over), "")
            self._form = replace(self._form, kind=kind, second=second, texts=texts)
        self._settle()

    def _settle(self) -> None:
        self._refusal = ""
        state = method_state(self._form)
        if not any(self._form.texts.get(key) for key in state.refused):
            self._edit(asked_of(state), text="parameters")
        self._paint()
        self.changed.emit()

    def _edit(self, keys: Keys, *, text: str) -> None:
        loaded = self._bench.procedure
        places: dict[tuple[str | int, ...], object] = {
            ("quantities", "parameters", key): value for key, value in keys.items()
        }
        try:
            procedure = with_values(loaded.procedure, places)
        except ValueRefusedError as error:
            self._refusal = f"{error.sentence[:1].upper()}{error.sentence[1:]}."
            return
        if procedure != loaded.procedure:
            self._is_editing = True
            self._bench.edit_procedure(replace(loaded, procedure=procedure), text=text)
            self._is_editing = False

    @Slot()
    def _follow(self) -> None:
        """Show what the procedure says where somebody else changed it: undone, opened."""
        if self._is_editing:
            return
        before = method_state(self._form).scaling
        first = self._first()
        if first != self._form and asked_of(method_state(first)) != asked_of(
            method_state(self._form)
        ):
            self._form = first
        self._paint()
        if method_state(self._form).scaling != before:
            self.changed.emit()

    @Slot()
    def _offer(self) -> None:
        shown = self._takes.chosen
        shown_id = shown.take.id if shown else ""
        options = second_options(self._takes.summaries, shown=shown_id, chosen=self._form.second)
        self._panel.set_seconds(options)
        self._paint()

    def _first(self) -> MethodForm:
        hears = self._bench.chain.chain.input.pressure is not None
        procedure = self._bench.procedure.procedure
        return first_method(
            procedure.quantities.parameters,
            hears=hears,
            area=area_of(procedure),
            summaries=self._takes.summaries,
        )

    def _paint(self) -> None:
        self._panel.set_state(self._form, method_state(self._form), refusal=self._refusal)
