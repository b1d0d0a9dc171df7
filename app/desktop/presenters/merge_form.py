"""Which takes are merged, and what a person typed about where their microphones stood."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from app.desktop.presenters.calibrate_form import FormField
from app.desktop.presenters.excitation import number_text
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

ROLES = (("near", "Near field"), ("far", "Far field"), ("vent", "Vent"))
CM2_PER_MM2 = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A field that corrects one key of a take's geometry.

    Attributes
    ----------
    role, key : str
        Whose geometry, and which key of it.
    per_unit : float
        What one of the field's unit is in the file.
    from_zero : bool
        Whether 0 may be typed.
    is_whole : bool
        Whether only whole numbers may.
    """

    role: str
    key: str
    per_unit: float = 1.0
    from_zero: bool = False
    is_whole: bool = False


FIELDS: Mapping[str, FormField] = {
    one.key: one
    for one in (
        FormField(key="near_area", label="Area", unit="cm²", placeholder="—", step=1),
        FormField(key="near_across", label="across", unit="mm", placeholder="—", step=1),
        FormField(key="near_gap", label="Gap", unit="mm", step=1),
        FormField(key="near_count", label="count", step=1),
        FormField(key="near_area_interval", label="Area ±", unit="cm²", step=0.1),
        FormField(key="near_gap_interval", label="gap ±", unit="mm", step=0.1),
        FormField(key="vent_area", label="Vent", unit="cm²", placeholder="—", step=1),
        FormField(key="vent_across", label="across", unit="mm", placeholder="—", step=1),
        FormField(key="far_edge", label="edge", unit="m", placeholder="—", step=0.01),
        FormField(key="far_distance", label="Away", unit="m", step=0.1),
        FormField(key="low", label="From", unit="Hz", step=10),
        FormField(key="high", label="to", unit="Hz", step=10),
    )
}
PLACED: Mapping[str, Placed] = {
    "near_area": Placed(role="near", key="radiator_cm2"),
    "near_area_interval": Placed(role="near", key="radiator_uncertainty_cm2", from_zero=True),
    "near_gap": Placed(role="near", key="distance_m", per_unit=1e-3),
    "near_gap_interval": Placed(
        role="near", key="distance_uncertainty_m", per_unit=1e-3, from_zero=True
    ),
    "near_count": Placed(role="near", key="radiators", is_whole=True),
    "vent_area": Placed(role="vent", key="radiator_cm2"),
    "far_edge": Placed(role="far", key="baffle_edge_m"),
    "far_distance": Placed(role="far", key="distance_m"),
}
ACROSS = {"near_across": "near_area", "vent_across": "vent_area"}
SPAN = ("low", "high")


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeForm:
    """What a person chose and typed.

    Attributes
    ----------
    chosen : mapping of role to id
        Takes; a role that is not among them has what suits.
    texts : mapping of (id, field) to str
        What was typed for a take; the crossover's belong to none, id empty.
    """

    chosen: Mapping[str, str] = field(default_factory=dict)
    texts: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def without_choices(self) -> "MergeForm":
        """Return it for whatever suits; what was typed for takes stays with them."""
        return replace(
            self, chosen={}, texts={at: text for at, text in self.texts.items() if at[0]}
        )

    def choose(self, role: str, take_id: str) -> "MergeForm":
        """Return it with another take; the crossover suits anew."""
        texts = {at: text for at, text in self.texts.items() if at[0]}
        return replace(self, chosen={**self.chosen, role: take_id}, texts=texts)

    def typed(self, take_id: str, key: str, text: str) -> "MergeForm":
        """Return it with another text in a field; a diameter that can be read becomes an area."""
        texts = dict(self.texts)
        if key in ACROSS:
            texts.pop((take_id, key), None)
            area = _disc_cm2(text)
            if area is None and text.strip():
                texts[take_id, key] = text.strip()
                return replace(self, texts=texts)
            key, text = ACROSS[key], "" if area is None else number_text(digits(area))
        texts[take_id, key] = text.strip()
        return replace(self, texts=texts)


def role_of(key: str) -> str:
    """Return whose a field is; empty for the crossover's."""
    placed = PLACED.get(ACROSS.get(key, key))
    return "" if placed is None else placed.role


def _disc_cm2(text: str) -> float | None:
    try:
        across = typed_number(text, key="across", unit="mm")
    except ValueRefusedError:
        return None
    if not 0 < across < math.inf:
        return None
    return math.pi / 4 * across**2 * CM2_PER_MM2


def digits(value: float, *, places: int = 6) -> float:
    """Round to as many digits as a person types."""
    return float(f"{value:.{places}g}")
