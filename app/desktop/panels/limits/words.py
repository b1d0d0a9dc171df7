"""What the bay says in its row: the last thing that was done, or how the draft stands."""

from dataclasses import replace

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.panels.limits.presenting import Presenting
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.limits_words import (
    words_ask_reason,
    words_done,
    words_empty,
    words_loading,
    words_no_mask,
    words_of_limits,
    words_refused,
    words_tool,
)
from app.desktop.presenters.mark import Mark


class Says(QObject):
    """``said`` carries BayWords; what was told stays until the next edit."""

    said = Signal(object)

    def __init__(
        self, bench: Bench, *, keeper: TrialKeeper, presenting: Presenting, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._bench, self._keeper, self._presenting = bench, keeper, presenting
        self._told: BayWords | None = None

    def forget(self) -> None:
        """Let the draft speak again."""
        self._told = None

    @Slot()
    def say_again(self) -> None:
        """Say what there is to say."""
        told, standing = self._told, self._standing()
        if told is not None:  # what can be done next is what it is by now
            standing = replace(standing, mark=told.mark, happened=told.happened, next=told.next)
        self.said.emit(standing)

    def tell(self, happened: str, *, next_step: str = "go on editing.") -> None:
        """Tell what was done."""
        self._keep(words_done(happened, next_step=next_step, standing=self._standing()))

    def tell_plainly(self, happened: str, *, next_step: str) -> None:
        """Tell how things are; nothing was done."""
        self._keep(replace(self._standing(), mark=Mark.INFO, happened=happened, next=next_step))

    def ask_tool(self, asks: str, *, enter: str) -> None:
        """Tell what a tool that was opened at the left wants to know."""
        self._keep(words_tool(asks, enter=enter, standing=self._standing()))

    def refuse(
        self,
        sentence: str,
        *,
        what: str = "Not saved",
        next_step: str = "the draft is still here; put that right and save again.",
    ) -> None:
        """Tell why something was not done."""
        self._keep(words_refused(what, sentence, next_step=next_step, standing=self._standing()))

    def ask_reason(self) -> None:
        """Tell what a revision needs."""
        number = self._presenting.standing.next_number
        self._keep(words_ask_reason(number, standing=self._standing()))

    @Slot(str)
    def refuse_reading(self, sentence: str) -> None:
        """Tell why the units could not be read."""
        self.tell(f"The units could not be read: {sentence}.", next_step="enter the bay again.")

    def _keep(self, words: BayWords) -> None:
        self._told = words
        self.said.emit(words)

    def _standing(self) -> BayWords:
        name = self._bench.procedure.procedure.name
        behind, seen = self._keeper.behind, self._keeper.seen
        if behind is None or seen is None:
            return words_loading(name)
        trial, standing = behind.trial, self._presenting.standing
        if not seen.found.draft.masks:
            return words_no_mask(name, has_units=bool(trial.size))
        if not trial.size:
            return words_empty(name, standing=standing)
        return words_of_limits(trial=trial, found=seen.found, standing=standing)
