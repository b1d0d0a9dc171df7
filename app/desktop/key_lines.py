"""Actions as the sheet of keys lists them, found by a word, a menu or a key."""

from dataclasses import dataclass

from PySide6.QtGui import QKeySequence

from app.desktop.actions import ACTIONS, Actions, ActionSpec
from app.desktop.own_keys import OwnKeys
from app.desktop.text import key_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """An action as the sheet lists it."""

    spec: ActionSpec
    keys: tuple[str, ...]
    is_enabled: bool
    ours: str = ""  # our key, where a person has set another

    @property
    def said(self) -> str:
        """Everything by which it may be found."""
        return " ".join((self.spec.text, self.spec.menu, *self.keys)).lower()


def lines(actions: Actions, *, words: str, bay: str | None, own: OwnKeys) -> tuple[Line, ...]:
    """Return the actions that have every word in text, menu or key.

    Parameters
    ----------
    actions : Actions
        What can be done now.
    words : str
        As typed; empty: every action.
    bay : str or None
        Only what holds in a bay, the bay's own first; None: everything that there is.
    own : OwnKeys
        The keys that a person has set.
    """
    wanted = words.lower().split()
    found = [
        Line(
            spec=spec,
            keys=tuple(key_words(QKeySequence(key)) for key in own.of(spec)),
            ours=_first_of(spec) if spec.id in own.chosen else "",
            is_enabled=(action := actions.find(spec.id)) is not None and action.isEnabled(),
        )
        for spec in ACTIONS
        if bay is None or not spec.bays or bay in spec.bays
    ]
    if bay is not None:
        found.sort(key=lambda line: not line.spec.bays)
    return tuple(line for line in found if all(word in line.said for word in wanted))


def _first_of(spec: ActionSpec) -> str:
    return key_words(QKeySequence(spec.keys[0])) if spec.keys else "none"
