"""Words of panels, told with the keys that a person has set in place of ours."""

from collections.abc import Mapping

from PySide6.QtWidgets import QWidget

from app.desktop.presenters.told_keys import in_own_keys

_KEYS = "keys by ours"  # property of a window


def tell_keys(window: QWidget, keys: Mapping[str, str]) -> None:
    """Let all that a window says name these keys from now on.

    Parameters
    ----------
    window : QWidget
        The top one.
    keys : mapping of str to str
        From our key in the bay that is entered to the person's own.
    """
    if dict(keys) == (window.property(_KEYS) or {}):
        return
    window.setProperty(_KEYS, dict(keys))
    for part in window.findChildren(QWidget):
        if (retell := getattr(part, "retell", None)) is not None:
            retell()
        part.update()


def told(widget: QWidget, sentence: str) -> str:
    """Return a sentence as the window of a widget tells it."""
    keys: dict[str, str] | None = widget.window().property(_KEYS)
    return in_own_keys(sentence, keys) if keys else sentence
