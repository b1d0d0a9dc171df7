"""What the form of a merge means: takes with what is known better of them, a span, refusals."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.desktop.presenters.excitation import number_text
from app.desktop.presenters.merge_form import (
    ACROSS,
    CM2_PER_MM2,
    FIELDS,
    PLACED,
    ROLES,
    SPAN,
    MergeForm,
    Placed,
    digits,
)
from app.measure.near_and_far import MergeWish, Part, Stood
from app.procedure.schema import Geometry
from hardware.errors import ValueRefusedError
from hardware.toml_edit import with_values
from hardware.typed import typed_number


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MergeFormState:
    """What the form means.

    Attributes
    ----------
    takes : mapping of role to Stood
        Those that are merged; a role without one is not among them.
    options : mapping of role to tuple of (id, words)
        To choose from.
    texts, refused : mapping of field to str
        As shown, and why some of it cannot stand.
    hidden : frozenset of str
        Fields that mean nothing for these takes.
    wish : MergeWish or None
        None while something is missing.
    """

    takes: Mapping[str, Stood]
    options: Mapping[str, tuple[tuple[str, str], ...]]
    texts: Mapping[str, str]
    refused: Mapping[str, str]
    hidden: frozenset[str]
    wish: MergeWish | None

    @property
    def waits_for_a_person(self) -> bool:
        """Whether something was typed that cannot stand: what is shown stays until it can."""
        return any(key in self.refused and self.texts[key] for key in FIELDS if key not in SPAN)


def merge_form_state(
    form: MergeForm, stood: Sequence[Stood], *, unit: str | None, prefer: Sequence[str] = ()
) -> MergeFormState:
    """Read the form.

    Parameters
    ----------
    form : MergeForm
        What a person chose and typed.
    stood : sequence of Stood
        Takes that there are, the newest first.
    unit : str or None
        Serial of the one that is of interest.
    prefer : sequence of str
        Ids of takes that are looked at: they are merged rather than others.
    """
    known = {one.id: one for one in stood}
    takes: dict[str, Stood] = {}
    for role, _ in ROLES:
        wanted = form.chosen.get(role)
        one = _suited(role, stood, unit=unit, prefer=prefer) if wanted is None else None
        one = known.get(wanted or "", one)
        if one is not None:
            takes[role] = one
    reading = _Reading(form)
    parts = {role: reading.part(role, one) for role, one in takes.items()}
    span = tuple(reading.span_end(key) for key in SPAN)
    return MergeFormState(
        takes=takes,
        options={role: _options(role, stood, takes=takes, unit=unit) for role, _ in ROLES},
        texts=reading.texts,
        refused=reading.refused,
        hidden=_hidden(takes),
        wish=_wish(parts, span, refused=reading.refused),
    )


def _wish(
    parts: Mapping[str, Part], span: tuple[float | None, ...], *, refused: Mapping[str, str]
) -> MergeWish | None:
    if "near" not in parts or "far" not in parts or refused.keys() - set(SPAN):
        return None
    low_hz, high_hz = (None, None) if refused else span
    return MergeWish(
        near=parts["near"],
        far=parts["far"],
        vent=parts.get("vent"),
        low_hz=low_hz,
        high_hz=high_hz,
    )


def _suited(
    role: str, stood: Sequence[Stood], *, unit: str | None, prefer: Sequence[str]
) -> Stood | None:
    if role == "vent":
        return None  # nobody knows which near field is a vent's
    fits = [one for one in stood if one.is_near == (role == "near")]
    looked_at = {one.id: one for one in fits}
    for take_id in prefer:
        if take_id in looked_at:
            return looked_at[take_id]
    return next((one for one in fits if unit is None or one.unit == unit), None)


def _options(
    role: str, stood: Sequence[Stood], *, takes: Mapping[str, Stood], unit: str | None
) -> tuple[tuple[str, str], ...]:
    fits = [one for one in stood if one.is_near == (role != "far")]
    if role == "vent" and "near" in takes:
        fits = [one for one in fits if one.id != takes["near"].id]
    own = sorted(fits, key=lambda one: one.unit != unit)
    nothing = "none" if role == "vent" else "choose a take" if own else "none yet"
    return (("", nothing), *((one.id, _called(one)) for one in own))


def _called(one: Stood) -> str:
    return f"{one.number}, {one.unit or 'no serial'}"


def _hidden(takes: Mapping[str, Stood]) -> frozenset[str]:
    hidden = {key for key, placed in PLACED.items() if placed.role not in takes}
    hidden |= {across for across, area in ACROSS.items() if area in hidden}
    far = takes.get("far")
    if far is not None and far.geometry.mounting != "baffle":
        hidden.add("far_edge")
    return frozenset(hidden)


class _Reading:
    """Reads a form field by field; gathers what is shown, and what cannot stand."""

    def __init__(self, form: MergeForm) -> None:
        self._form = form
        self.texts: dict[str, str] = {}
        self.refused: dict[str, str] = {}

    def part(self, role: str, one: Stood) -> Part:
        """Read what belongs to a take."""
        corrected: list[tuple[str, float]] = []
        for key, placed in PLACED.items():
            if placed.role != role:
                continue
            own = getattr(one.geometry, placed.key)
            typed = self._form.texts.get((one.id, key), "")
            self.texts[key] = typed or _shown(own, placed)
            value = self._placed(key, typed, geometry=one.geometry) if typed else None
            if value is not None and value != own:
                corrected.append((placed.key, value))
            if placed.key == "radiator_cm2" and own is None and not typed:
                self.refused[key] = "Not given: type the area, or the diameter."
        self._disc(role, one)
        return Part(take_id=one.id, corrected=tuple(corrected))

    def span_end(self, key: str) -> float | None:
        """Read an end of the crossover; None where what suits is taken."""
        text = self._form.texts.get(("", key), "")
        self.texts[key] = text
        return self._number(key, text) if text else None

    def _disc(self, role: str, one: Stood) -> None:
        for across, area in ACROSS.items():
            if PLACED[area].role != role:
                continue
            typed = self._form.texts.get((one.id, across), "")
            self.texts[across] = typed or _across(self.texts[area])
            if typed:  # else it would have become an area
                self.refused.pop(area, None)
                self.refused[across] = f"Given {typed}, allowed a diameter above 0 mm."

    def _placed(self, key: str, text: str, *, geometry: Geometry) -> float | None:
        placed = PLACED[key]
        value = self._number(key, text, from_zero=placed.from_zero)
        if value is None:
            return None
        value = digits(value * placed.per_unit, places=10)
        if placed.is_whole and value == round(value):
            value = round(value)
        try:
            with_values(geometry, {(placed.key,): value})
        except ValueRefusedError as error:
            self.refused[key] = _begun(error.sentence)
            return None
        return value

    def _number(self, key: str, text: str, *, from_zero: bool = False) -> float | None:
        unit = FIELDS[key].unit
        try:
            value = typed_number(text, key=key, unit=unit)
        except ValueRefusedError as error:
            self.refused[key] = _begun(error.sentence)
            return None
        if math.isfinite(value) and (value > 0 or (from_zero and value == 0)):
            return value
        given = f"{number_text(value)} {unit}".strip()
        self.refused[key] = f"Given {given}, allowed {'from 0' if from_zero else 'above 0'}."
        return None


def _begun(sentence: str) -> str:
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _shown(own: float | None, placed: Placed) -> str:
    return "" if own is None else number_text(digits(own / placed.per_unit))


def _across(area_text: str) -> str:
    try:
        area = typed_number(area_text, key="area", unit="cm²")
    except ValueRefusedError:
        return ""
    if not 0 < area < math.inf:
        return ""
    return number_text(digits(2 * math.sqrt(area / CM2_PER_MM2 / math.pi), places=3))
