"""One command for each edit of what a bench holds; edits of one gesture merge."""

from collections.abc import Callable
from typing import Any

from PySide6.QtGui import QUndoCommand

_GESTURE = 1  # Qt asks to merge only commands of the same id


class Edit(QUndoCommand):
    """Sets a value, and sets it back.

    Parameters
    ----------
    text : str
        What was done, as in ``move a point of level``.
    before, after : object
        Frozen values.
    put : callable
        Makes a value the current one.
    gesture : str
        Edits that follow each other with the same gesture count as one; empty: never.
    """

    def __init__(
        self, text: str, *, before: Any, after: Any, put: Callable[[Any], None], gesture: str = ""
    ) -> None:
        super().__init__(text)
        self.before, self.after, self._put, self.gesture = before, after, put, gesture

    def id(self) -> int:
        """Tell Qt whether this may merge with its neighbour."""
        return _GESTURE if self.gesture else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take the later edit of the same gesture in."""
        if not isinstance(other, Edit) or other.gesture != self.gesture:
            return False
        self.after = other.after
        return True

    def undo(self) -> None:
        """Set the value back."""
        self._put(self.before)

    def redo(self) -> None:
        """Set the value, first and again."""
        self._put(self.after)
