"""Limits that follow from units: asks what they shall follow from, has them worked out."""

from PySide6.QtCore import QObject, Slot

from app.desktop.panels.limits.left_column import Tool
from app.desktop.panels.limits.workplace import Workplace
from app.desktop.presenters.limits_figures import mask_title
from app.desktop.presenters.limits_propose import proposal_words, propose_state
from app.measure.new_mask import NewMask, new_mask
from app.measure.proposal import Proposal, proposed
from app.measure.wish import Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask


class Proposals(QObject):
    """Connects the panel to the worker, and its answer to the draft."""

    def __init__(self, at: Workplace) -> None:
        super().__init__(at.draft)
        self._bench, self._draft, self._keeper = at.bench, at.draft, at.keeper
        self._left, self._says, self._presenting = at.left, at.says, at.presenting
        at.left.propose.wanted.connect(self._work_out)
        at.left.new_mask.wanted.connect(self._make)

    @Slot()
    def begin(self) -> None:
        """Show the panel, if there are units to follow."""
        mask, behind = self._draft.mask, self._keeper.behind
        if mask is None or self._draft.name is None:
            return
        if behind is None or not behind.trial.size:
            self._says.tell(
                "There is no unit to propose limits from.",
                next_step="measure some units, or drag the limits where they should be.",
            )
            return
        self._left.show_tool(Tool.PROPOSE)
        title = mask_title(self._draft.name)
        self._says.ask_tool(f"What shall the limits of {title} follow from?", enter="proposes")
        drawn = self._presenting.shown.drawn
        self._left.propose.begin(
            propose_state(
                mask,
                title=title,
                trial=behind.trial,
                unit=drawn[-1] if drawn else None,
            )
        )

    @Slot()
    def begin_new(self) -> None:
        """Show the panel of a new mask, if there are units to make one from."""
        behind = self._keeper.behind
        if behind is None or not behind.measured:
            self._says.tell(
                "There is no unit to make a mask from.", next_step="measure a unit, then press N."
            )
            return
        self._left.show_tool(Tool.NEW)
        self._says.ask_tool("What shall the new mask be about?", enter="adds it")
        self._left.new_mask.begin(
            behind.measured,
            taken=tuple(self._draft.masks),
            has_reference=behind.trial.reference is not None,
        )

    @Slot(str, object)
    def _make(self, name: str, asked: NewMask) -> None:
        store, procedure = self._bench.store, self._bench.procedure.procedure.name
        self._bench.worker.ask(
            "limits: new mask",
            lambda: new_mask(store, procedure=procedure, asked=asked),
            then=lambda mask: self._add(name, mask),
            refused=self._refuse_new,
        )

    def _add(self, name: str, mask: Mask) -> None:
        self._draft.put_masks({**self._draft.masks, name: mask}, text=f"Add {mask_title(name)}")
        self._left.show_point()
        self._draft.choose(name)

    def _refuse_new(self, error: Exception) -> None:
        if isinstance(error, EditRefusedError):
            self._left.new_mask.refuse(error)
        else:
            self._says.tell(f"{error}.")

    @Slot(object)
    def _work_out(self, wish: Wish) -> None:
        behind, seen, name = self._keeper.behind, self._keeper.seen, self._draft.name
        result = seen.found.draft.masks.get(name or "") if seen is not None else None
        if behind is None or result is None:
            return
        trial = behind.trial
        self._bench.worker.ask(
            "limits: proposal",
            lambda: proposed(trial, result, wish=wish),
            then=self._take,
            refused=self._refuse,
        )

    def _take(self, found: Proposal) -> None:
        refused = self._draft.edit(lambda _: found.mask, text="Propose limits")
        if refused is not None:
            self._left.propose.refuse(refused)
            return
        self._left.show_point()
        title = mask_title(self._draft.name or "")
        self._says.tell_plainly(
            proposal_words(found, title=title),
            next_step="look at what it stops, then save the draft (Ctrl S); Ctrl Z takes it back.",
        )

    def _refuse(self, error: Exception) -> None:
        if isinstance(error, EditRefusedError):
            self._left.propose.refuse(error)
        else:
            self._says.tell(f"{error}.")
