"""Keys that a person has set in place of ours, and why some cannot be set."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from PySide6.QtGui import QKeySequence

from app.desktop.actions import ACTIONS, BAYS, ActionSpec
from app.desktop.text import key_words

FIXED: Mapping[str, str] = {
    "stop": "Esc stops the output wherever you are: it cannot be changed.",
    "line.measure": "In Line Enter measures, as a scanner ends a serial: it cannot be changed.",
}
_SPECS = {spec.id: spec for spec in ACTIONS}
_HELD = ("Shift+", "Ctrl+", "Alt+", "Meta+", "Num+")
# What fields, tables and plots need for themselves, alone or with Shift.
_STEERING = {
    *("Tab", "Backtab", "Space", "Return", "Enter", "Backspace", "Left", "Right", "Up", "Down"),
    *("Home", "End", "PgUp", "PgDown"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnKeys:
    """A key for each action that has not ours; as Qt writes keys: ``Ctrl+J``."""

    chosen: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, spec: ActionSpec) -> tuple[str, ...]:
        """Return an action's keys, the preferred one first."""
        own = self.chosen.get(spec.id)
        return spec.keys if own is None else (own,)

    def acting(self, spec: ActionSpec, *, letters: bool) -> tuple[str, ...]:
        """Return those of an action's keys that act, with or without single letters."""
        return tuple(key for key in self.of(spec) if letters or not is_character(key))

    def renamed(self, bay: str | None) -> dict[str, str]:
        """Return a person's own keys by ours, as on their caps, as they are named in a bay.

        Those that hold there; of other bays those that nothing else has, and no letters.
        """
        return {
            key_words(QKeySequence(spec.keys[0])): key_words(QKeySequence(self.chosen[spec.id]))
            for spec in ACTIONS
            if spec.id in self.chosen
            and spec.keys
            and (not spec.bays or bay in spec.bays or _is_alone(spec))
        }

    def with_key(self, spec: ActionSpec, key: str) -> "OwnKeys":
        """Return them with another key for an action; nobody asks here whether it may be."""
        if key in spec.keys[:1]:
            return self.without(spec)
        return OwnKeys(chosen=MappingProxyType({**self.chosen, spec.id: key}))

    def without(self, spec: ActionSpec) -> "OwnKeys":
        """Return them with our keys for an action."""
        left = {name: key for name, key in self.chosen.items() if name != spec.id}
        return OwnKeys(chosen=MappingProxyType(left))

    def why_not(self, spec: ActionSpec, key: str) -> str:
        """Say in one line why an action cannot have a key; empty where it can."""
        word = key_words(QKeySequence(key))
        if spec.id in FIXED:
            return FIXED[spec.id]
        if key not in spec.keys:
            if _plain(key) == "Esc":
                return "Esc is kept for silence, and for leaving what is open."
            if _plain(key) in _STEERING and key in {_plain(key), f"Shift+{_plain(key)}"}:
                return f"{word} is needed in fields and plots: hold Ctrl or Alt with it."
            if is_character(key) and "line" in (spec.bays or BAYS):
                return f"{word} alone is what a scanner types in Line: hold Ctrl or Alt with it."
        holder = self._holder(spec, (key,))
        return "" if holder is None else f"{word} is held by {_place(holder)}."

    def why_not_ours(self, spec: ActionSpec) -> str:
        """Say why an action cannot have our keys again; empty where it can."""
        holder = self._holder(spec, spec.keys)
        if holder is None:
            return ""
        word = key_words(QKeySequence(spec.keys[0]))
        return f"{word} is held by {_place(holder)} now: give that another key first."

    def _holder(self, spec: ActionSpec, keys: tuple[str, ...]) -> ActionSpec | None:
        """Return another action that has one of these keys in some place where this one acts."""
        wanted, places = {QKeySequence(key).toString() for key in keys}, set(spec.bays or BAYS)
        for other in ACTIONS:
            if other.id == spec.id or not places & set(other.bays or BAYS):
                continue
            if wanted & {QKeySequence(key).toString() for key in self.of(other)}:
                return other
        return None


def own_keys(kept: Mapping[str, str]) -> OwnKeys:
    """Return what was remembered; what cannot be any more is forgotten, and ours holds there."""
    written = {name: QKeySequence(key).toString() for name, key in kept.items() if name in _SPECS}
    found = OwnKeys(chosen=MappingProxyType({name: key for name, key in written.items() if key}))
    # All at once, since two may have changed places; each that goes may leave another alone.
    while wrong := [name for name, key in found.chosen.items() if found.why_not(_SPECS[name], key)]:
        found = found.without(_SPECS[wrong[0]])
    return found


def is_character(key: str) -> bool:
    """Tell whether a key alone, or with Shift, is a letter, digit or sign (WCAG 2.1, 2.1.4)."""
    return len(key.removeprefix("Shift+")) == 1


def _is_alone(spec: ActionSpec) -> bool:
    """Whether our key of an action is no letter, and no other action's in any bay."""
    holders = [one.id for one in ACTIONS if spec.keys[0] in one.keys]
    return holders == [spec.id] and not is_character(spec.keys[0])


def _plain(key: str) -> str:
    for held in _HELD:
        key = key.replace(held, "")
    return key


def _place(spec: ActionSpec) -> str:
    if not spec.bays:
        return spec.text.rstrip("…")
    return f"{spec.text.rstrip('…')} in {' and '.join(bay.capitalize() for bay in spec.bays)}"
