"""What a calibrator that is heard and a link that is proved have in common: how they end."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.bench import Bench
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark

if TYPE_CHECKING:
    from app.calibrate.run import Calibrated


class OneProof(QObject):
    """From what a person asked for to a kept record.

    ``closed``: it was left, nothing was changed. ``kept`` (Calibrated): the record is in the store,
    and the chain on the bench has its value.
    """

    closed = Signal()
    kept = Signal(object)

    def __init__(self, bench: Bench, *, say: Callable[[BayWords], None], parent: QWidget) -> None:
        super().__init__(parent)
        self._bench, self._say = bench, say

    @property
    def is_open(self) -> bool:
        """Whether it is under way."""
        raise NotImplementedError

    @Slot()
    def close(self) -> None:
        """Leave; nothing was changed."""
        if self.is_open:
            self._put_away()
            self.closed.emit()

    def _put_away(self) -> None:
        """Silence what plays or listens, and forget the try."""
        raise NotImplementedError

    def _take_kept(self, done: "Calibrated") -> None:
        self._put_away()
        self.kept.emit(done)
        self._bench.store_changed.emit()

    def _tell_failure(self, sentence: str) -> None:
        """Say why it was not done, and what helps."""
        raise NotImplementedError

    def _tell_refusal(self, error: Exception) -> None:
        if self.is_open:
            self._tell_failure(str(error))

    @property
    def _file_words(self) -> str:
        file = self._bench.wired.file
        return "the chain, which has no file yet" if file is None else file.name


def failed_words(sentence: str, *, next_: str) -> BayWords:
    """Say that it was not done."""
    return BayWords(
        mark=Mark.BAD,
        happened=f"Not done: {sentence.rstrip('.')}. Nothing changed.",
        next=next_,
        action="again",
    )
