"""How the moving mass is found: what a person types, and what is refused beside its field."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from app.desktop.presenters.calibrate_form import FormField
from app.desktop.presenters.excitation import number_text
from app.desktop.presenters.figures import value_text
from app.measure.scaling import WITH_SECOND, ScaleKind, Scaling
from app.procedure.schema import Parameters
from app.records.find_takes import TakeSummary
from dsp.parameters.surroundings import Known, piston_area
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

Keys = dict[str, float | str | None]
KINDS: tuple[tuple[ScaleKind, str], ...] = (
    ("none", "none"),
    ("pressure", "pressure of this take"),
    ("added_mass", "added mass"),
    ("closed_box", "closed test box"),
    ("known_mass", "known moving mass"),
)
AREA = (
    FormField(key="cone", label="Cone", unit="mm", placeholder="across", step=1),
    FormField(key="surround", label="Surround", unit="mm", placeholder="outer edge", step=1),
    FormField(key="sd", label="Area Sd", unit="cm²", placeholder="not known", step=1),
    FormField(key="sd_interval", label="Interval", unit="%, k = 2", placeholder="0", step=0.5),
)
AMOUNT = FormField(key="amount", label="Mass", step=0.1)
AMOUNT_INTERVAL = FormField(key="amount_interval", label="Interval", placeholder="0", step=0.01)
LE = FormField(key="le", label="Le at", unit="Hz", placeholder="1000", step=100)
_UNITS: Mapping[str, tuple[str, str, float]] = {  # label, unit, SI
    "added_mass": ("Mass", "g", 1e-3),
    "known_mass": ("Mms", "g", 1e-3),
    "closed_box": ("Volume", "l", 1e-3),
}
_AMOUNT_KEYS: Mapping[str, tuple[str, str]] = {  # of the procedure: what, unit
    "known_mass": ("mms", "g"),
    "added_mass": ("added_mass", "g"),
    "closed_box": ("box", "l"),
}
_READING_M = 0.5e-3  # standard uncertainty of an effective diameter, of a rule and of the practice
_MOST_AREA_CM2 = 20_000.0
_HINTS: Mapping[str, str] = {
    "none": "Masses and forces need a scale: one more measurement, or a figure that is known.",
    "pressure": "The microphone’s pressure per ampere is the scale: on a baffle its distance "
    "counts, in the near field its way to the dust cap. Nothing is stuck on.",
    "added_mass": "Stick a mass on the cone, near the coil: as much as lowers fs by 20 to 50 %. "
    "Play at the same level, then choose that take here; D keeps what it tells with the first.",
    "closed_box": "Hold the unit on a tight box without filling, small enough to raise fs by half. "
    "Play at the same level, then choose that take here; D keeps what it tells with the first.",
    "known_mass": "A mass that was weighed, or that the maker states, with the air that moves.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodForm:
    """What stands in the fields.

    Attributes
    ----------
    kind : str
        Of ``KINDS``.
    second : str
        Id of the other take; empty: none chosen.
    texts : mapping of field to str
        As typed.
    """

    kind: ScaleKind = "none"
    second: str = ""
    texts: Mapping[str, str] = field(default_factory=dict)

    def typed(self, key: str, text: str) -> "MethodForm":
        """Return it with another text in a field; diameters take the place of an area."""
        texts = {**self.texts, key: text.strip()}
        if key == "sd" and text.strip():
            texts |= {"cone": "", "surround": ""}
        return replace(self, texts=texts)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MethodState:
    """What the form means: how the mass is found, and what cannot stand."""

    scaling: Scaling
    refused: Mapping[str, str]
    area_told: str
    hint: str
    amount_label: str = ""
    amount_unit: str = ""
    wants_second: bool = False


def first_method(
    asked: Parameters,
    *,
    hears: bool,
    area: Known | None = None,
    summaries: Sequence[TakeSummary] = (),
) -> MethodForm:
    """Return what stands in the fields at the beginning: what the procedure says.

    ``area`` is what the procedure states of it anywhere, m2; ``summaries`` tell the whole id of a
    second take of which the procedure has the first digits.
    """
    texts = {
        "sd": "" if area is None else _text(1e4 * area.value),
        "sd_interval": "" if area is None else _text(200 * area.relative or None),
        "le": _text(asked.le_hz if asked.le_hz != Parameters().le_hz else None),
    }
    amounts: tuple[tuple[ScaleKind, float | None, float], ...] = (
        ("known_mass", asked.mms_g, asked.mms_uncertainty_percent),
        ("added_mass", asked.added_mass_g, asked.added_mass_uncertainty_percent),
        ("closed_box", asked.box_l, asked.box_uncertainty_percent),
    )
    for kind, amount, percent in amounts:
        if amount is not None:
            half = _text(amount * percent / 100 or None)
            named = asked.second_take or ""
            second = next((one.id for one in summaries if one.id.startswith(named)), named)
            return MethodForm(
                kind=kind,
                second=second if named else "",
                texts=texts | {"amount": _text(amount), "amount_interval": half},
            )
    return MethodForm(kind="none" if area is None or not hears else "pressure", texts=texts)


def method_state(form: MethodForm) -> MethodState:
    """Read the form; what cannot stand is left out and told beside its field."""
    refused: dict[str, str] = {}
    area = _area(form, refused=refused)
    label, unit, amount = "", "", None
    if form.kind in _UNITS:
        label, unit, si = _UNITS[form.kind]
        amount = _known(form, ("amount", "amount_interval"), unit=unit, si=si, refused=refused)
    le = _number(form, "le", unit="Hz", refused=refused) or Parameters().le_hz
    if form.kind in {"pressure", "closed_box"} and area is None and "sd" not in refused:
        refused["sd"] = "Not given: this way needs the area."
    if form.kind in _UNITS and amount is None and "amount" not in refused:
        refused["amount"] = f"Not given: type it in {unit}."
    if form.kind in WITH_SECOND and not form.second:
        refused["second"] = "No take chosen."
    return MethodState(
        scaling=Scaling(
            kind="none" if refused else form.kind,
            amount=amount,
            second=form.second if form.kind in WITH_SECOND else "",
            sd_m2=area,
            le_hz=le,
        ),
        refused=refused,
        area_told=""
        if area is None
        else f"{value_text(1e4 * area.value, 2e4 * area.standard)} cm²",
        hint=_HINTS[form.kind],
        amount_label=label,
        amount_unit=unit,
        wants_second=form.kind in WITH_SECOND,
    )


def asked_of(state: MethodState) -> Keys:
    """Return the keys of the procedure's ``[quantities.parameters]`` that the form decides.

    While a second take or its mass is missing, the scale that the procedure has stays.
    """
    scaling = state.scaling
    le_hz = None if scaling.le_hz == Parameters().le_hz else scaling.le_hz
    keys: Keys = {"le_hz": le_hz, **_of_area(scaling.sd_m2)}
    if state.wants_second and scaling.kind == "none":
        return keys
    return keys | scale_keys(scaling)


def scale_keys(scaling: Scaling, *, mms_from: str = "") -> Keys:
    """Return the keys of the procedure that hold a scale; None takes those of others out."""
    keys: Keys = {
        f"{key}{end}": None
        for key, unit in _AMOUNT_KEYS.values()
        for end in (f"_{unit}", "_uncertainty_percent")
    }
    keys |= {"second_take": scaling.second or None, "mms_from": mms_from or None}
    if scaling.kind in _AMOUNT_KEYS and scaling.amount is not None:
        key, unit = _AMOUNT_KEYS[scaling.kind]
        keys[f"{key}_{unit}"] = _digits(1e3 * scaling.amount.value)
        keys[f"{key}_uncertainty_percent"] = _percent(scaling.amount)
    return keys


def _of_area(area: Known | None) -> Keys:
    if area is None:
        return {"sd_cm2": None, "sd_uncertainty_percent": None}
    return {"sd_cm2": _digits(1e4 * area.value), "sd_uncertainty_percent": _percent(area)}


def _percent(known: Known) -> float | None:
    return _digits(200 * known.relative) if known.standard else None


def second_options(
    summaries: Sequence[TakeSummary], *, shown: str, chosen: str = ""
) -> tuple[tuple[str, str], ...]:
    """Offer the other takes of the ribbon, and the chosen one where it is not among them."""
    options = [
        (one.id, f"take {one.number}, {one.unit or 'no serial'}")
        for one in summaries
        if one.id != shown
    ]
    if chosen and chosen not in {key for key, _ in options}:
        options.append((chosen, f"take {chosen[:8]}"))
    return (("", "choose a take"), *options)


def _area(form: MethodForm, *, refused: dict[str, str]) -> Known | None:
    cone = _number(form, "cone", unit="mm", refused=refused)
    outer = _number(form, "surround", unit="mm", refused=refused)
    if cone is not None:
        outer = cone if outer is None else outer
        if outer < cone:
            refused["surround"] = f"Given {outer:g} mm, allowed from the cone’s {cone:g} mm."
            return None
        return piston_area(
            cone_diameter_m=1e-3 * cone,
            surround_outer_diameter_m=1e-3 * outer,
            standard_m=_READING_M,
        )
    area = _number(form, "sd", unit="cm²", refused=refused)
    if area is None:
        return None
    if area > _MOST_AREA_CM2:
        refused["sd"] = f"Given {area:g} cm², allowed up to {_MOST_AREA_CM2:g} cm²."
        return None
    percent = _number(form, "sd_interval", unit="%", refused=refused, least=0.0) or 0.0
    return Known(value=1e-4 * area, standard=1e-4 * area * percent / 200)


def _known(
    form: MethodForm, keys: tuple[str, str], *, unit: str, si: float, refused: dict[str, str]
) -> Known | None:
    value = _number(form, keys[0], unit=unit, refused=refused)
    half = _number(form, keys[1], unit=unit, refused=refused, least=0.0) or 0.0
    return None if value is None else Known(value=si * value, standard=si * half / 2)


def _number(
    form: MethodForm, key: str, *, unit: str, refused: dict[str, str], least: float | None = None
) -> float | None:
    text = form.texts.get(key, "")
    if not text:
        return None
    try:
        value = typed_number(text, key=key, unit=unit)
    except ValueRefusedError as error:
        refused[key] = f"{error.sentence[:1].upper()}{error.sentence[1:]}."
        return None
    if not math.isfinite(value) or value < 0 or (value == 0 and least is None):
        allowed = "from 0" if least is not None else "above 0"
        refused[key] = f"Given {number_text(value)} {unit}, allowed {allowed}."
        return None
    return value


def _text(value: float | None) -> str:
    return "" if value is None else number_text(_digits(value))


def _digits(value: float) -> float:
    return float(f"{value:.6g}")
