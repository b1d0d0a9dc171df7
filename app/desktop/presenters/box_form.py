"""The box that a person wishes for: what is typed, and what is refused beside its field."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import get_args

from app.desktop.presenters.calibrate_form import FormField
from app.desktop.presenters.excitation import number_text
from app.measure.box_design import BoxKind, BoxWish
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

KINDS: tuple[tuple[BoxKind, str], ...] = (("closed", "closed"), ("vented", "vented"))
BOX = (
    FormField(key="volume", label="Volume", unit="l", placeholder="what suits", step=1),
    FormField(key="tuning", label="Tuning", unit="Hz", placeholder="what suits", step=1),
    FormField(key="vent", label="Vent", unit="mm", placeholder="across", step=5),
    FormField(key="q_leakage", label="QL, leaks", placeholder="none", step=1),
    FormField(key="q_absorption", label="QA, filling", placeholder="none", step=5),
)
DRIVE = (
    FormField(key="watts", label="Power", unit="W", placeholder="1", step=1),
    FormField(key="ohm", label="into", unit="Ω", step=1),
)
TAKES = (
    FormField(key="xmax", label="Xmax", unit="mm", placeholder="not known", step=0.5),
    FormField(key="rated", label="Rated", unit="W", placeholder="not known", step=5),
)
_VENTED_ONLY = frozenset({"tuning", "vent"})
LEAKS = 7.0  # of a vented box, for lack of better (R. H. Small, J. Audio Eng. Soc. 21 (1973) 363)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxForm:
    """What stands in the fields."""

    kind: BoxKind = "closed"
    texts: Mapping[str, str] = field(default_factory=dict)

    def typed(self, key: str, text: str) -> "BoxForm":
        """Return it with another text in a field."""
        return replace(self, texts={**self.texts, key: text.strip()})

    def of_kind(self, kind: str) -> "BoxForm":
        """Return it for another kind of box: what suits that one, with its usual losses."""
        named = next(one for one in get_args(BoxKind) if one == kind)
        leaks = number_text(LEAKS) if named == "vented" else ""
        texts = {**self.texts, "volume": "", "tuning": "", "q_leakage": leaks}
        return replace(self, kind=named, texts=texts)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BoxFormState:
    """What the form means, what cannot stand, and which fields the kind of box has."""

    wish: BoxWish
    refused: Mapping[str, str]
    hidden: frozenset[str]


def first_box(*, nominal_ohm: float) -> BoxForm:
    """Return what stands in the fields at the beginning."""
    return BoxForm(texts={"watts": "1", "ohm": number_text(nominal_ohm)})


def box_form_state(form: BoxForm) -> BoxFormState:
    """Read the form."""
    refused: dict[str, str] = {}

    def read(spec: FormField) -> float | None:
        return _number(form, spec, refused=refused)

    found = {spec.key: read(spec) for spec in (*BOX, *DRIVE, *TAKES)}
    across = found["vent"]
    return BoxFormState(
        wish=BoxWish(
            kind=form.kind,
            volume_m3=_scaled(found["volume"], 1e-3),
            tuning_hz=found["tuning"],
            vent_area_m2=None if across is None else math.pi / 4 * (1e-3 * across) ** 2,
            q_leakage=found["q_leakage"] or math.inf,
            q_absorption=found["q_absorption"] or math.inf,
            watts=found["watts"] or BoxWish().watts,
            watts_ohm=found["ohm"] or BoxWish().watts_ohm,
            xmax_m=_scaled(found["xmax"], 1e-3),
            rated_power_w=found["rated"],
        ),
        refused=refused,
        hidden=frozenset() if form.kind == "vented" else _VENTED_ONLY,
    )


def _scaled(value: float | None, by: float) -> float | None:
    return None if value is None else by * value


def _number(form: BoxForm, spec: FormField, *, refused: dict[str, str]) -> float | None:
    text = form.texts.get(spec.key, "")
    if not text or (form.kind == "closed" and spec.key in _VENTED_ONLY):
        return None
    try:
        value = typed_number(text, key=spec.key, unit=spec.unit)
    except ValueRefusedError as error:
        refused[spec.key] = f"{error.sentence[:1].upper()}{error.sentence[1:]}."
        return None
    if not 0 < value < math.inf:
        given = f"{number_text(value)} {spec.unit}".strip()
        refused[spec.key] = f"Given {given}, allowed above 0."
        return None
    return value
