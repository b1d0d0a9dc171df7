"""Words that several places of the window share."""

from PySide6.QtGui import QAction, QKeySequence

_KEY_WORDS = {"Return": "Enter", "Escape": "Esc", "Del": "Del", "Ins": "Ins"}


def key_words(keys: QKeySequence) -> str:
    """Write a key as on its cap: ``Ctrl S``, ``Enter``, ``Space``."""
    parts = keys.toString(QKeySequence.SequenceFormat.PortableText).split("+")
    return " ".join(_KEY_WORDS.get(part, part) for part in parts if part)


def key_of(action: QAction) -> str:
    """Return the words of an action's first key; empty where it has none."""
    keys = action.shortcuts()
    return key_words(keys[0]) if keys else ""
