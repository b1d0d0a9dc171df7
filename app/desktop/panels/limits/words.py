"""What the bay says in its row: the last thing that was done, or how the draft stands."""

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.panels.limits.presenting import Presenting
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.limits_revisions import next_number
from app.desktop.presenters.limits_words import (
    words_ask_reason,
    words_done,
    words_empty,
    words_loading,
    words_no_mask,
    words_of_draft,
    words_of_revision,
    words_refused,
    words_tool,
)


class Says(QObject):
    """``said`` carries BayWords; what was told stays until the next edit."""

    said = Signal(object)

    def __init__(
        self, bench: Bench, *, keeper: TrialKeeper, presenting: Presenting, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._bench, self._keeper, self._presenting = bench, keeper, presenting
        self._told: BayWords | None = None

    @property
    def next_number(self) -> int:
        """The number that a revision saved now would have."""
        behind = self._keeper.behind
        return next_number(behind.force.revisions) if behind is not None else 1

    def forget(self) -> None:
        """Let the draft speak again."""
        self._told = None

    @Slot()
    def say_again(self) -> None:
        """Say what there is to say."""
        self.said.emit(self._told or self._standing())

    def tell(self, happened: str, *, next_step: str = "go on editing.") -> None:
        """Tell what was done."""
        self._keep(words_done(happened, next_step=next_step, standing=self._standing()))

    def ask_tool(self, asks: str, *, enter: str) -> None:
        """Tell what a tool that was opened at the left wants to know."""
        self._keep(words_tool(asks, enter=enter, standing=self._standing()))

    def refuse(self, sentence: str) -> None:
        """Tell why nothing was saved."""
        self._keep(words_refused(sentence, number=self.next_number))

    def ask_reason(self) -> None:
        """Tell what a revision needs."""
        self._keep(words_ask_reason(self.next_number))

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
        trial, number, on_bench = behind.trial, self.next_number, seen.on_bench
        if not seen.found.draft.masks:
            return words_no_mask(
                name, is_draft=on_bench is None, number=number, has_units=bool(trial.size)
            )
        if not trial.size:
            return words_empty(name, is_draft=on_bench is None, number=number)
        now_name = self._presenting.now_name
        if on_bench is not None and on_bench == behind.force.base:
            return words_of_revision(now_name, trial=trial, found=seen.found, number=number)
        return words_of_draft(
            now_name,
            trial=trial,
            found=seen.found,
            number=number,
            on_bench=f"revision {on_bench.number}" if on_bench is not None else "",
        )
