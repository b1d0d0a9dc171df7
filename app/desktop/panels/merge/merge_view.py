"""Near and far field of a unit merged in the worker, painted as plots, figures and doubts."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.measure.shown_takes import ShownTakes
from app.desktop.panels.merge.merge_page import MergePage
from app.desktop.panels.merge.merge_panel import MergePanel
from app.desktop.panels.merge.merge_results import MergeResults
from app.desktop.panels.merge.taken import Taken
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.measure_scene import View
from app.desktop.presenters.merge_card import MergeCard, merge_card, no_merge
from app.desktop.presenters.merge_form import FIELDS, MergeForm, role_of
from app.desktop.presenters.merge_plots import (
    difference_plot,
    merged_level_plot,
    merged_phase_plot,
)
from app.desktop.presenters.merge_reading import MergeFormState, merge_form_state
from app.desktop.presenters.merge_words import (
    heads_of,
    refused_span,
    suited_span,
    words_of_kept,
    words_of_lack,
    words_of_merge,
    words_of_no_merge,
)
from app.desktop.undo import Edit
from app.errors import BadInputError
from app.measure.near_and_far import Joined, MergeWish, Stood, join, keep_joined, stood
from app.records.store import Store

_TAKES, _TOPIC, _KEEP = "takes to merge", "merge", "keep merged"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    number: int
    again: int  # takes that were derived again for it


class MergeView(QObject):
    """Asks only while somebody looks; of several questions the latest counts.

    ``said`` (BayWords) tells what a merge comes to, or what is missing.
    """

    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        actions: Actions,
        takes: ShownTakes,
        plots: Plots,
        panel: MergePanel,
        page: MergePage,
        results: MergeResults,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._takes, self._plots = bench, takes, plots
        self._panel, self._page, self._results = panel, page, results
        self._taken = Taken()
        self._form, self._shown_id = MergeForm(), ""
        self._stood: tuple[Stood, ...] = ()
        self._state = self._read()
        self._joined: Joined | None = None
        self._asked: MergeWish | None = None
        self._keep_action = actions.of("keep_merged")
        self._keep_action.triggered.connect(self.keep)
        panel.typed.connect(self._type)
        panel.chosen.connect(self._choose)
        panel.given_up.connect(self._paint_form)
        plots.view_changed.connect(self._look)
        takes.changed.connect(self._follow)
        takes.ribbon_changed.connect(self._look_up)
        self._paint(no_merge(self._state))

    @property
    def form(self) -> MergeForm:
        """What was chosen and typed."""
        return self._form

    @property
    def joined(self) -> Joined | None:
        """What is shown."""
        return self._joined

    @Slot()
    def keep(self) -> None:
        """Keep what is shown as a take of its own."""
        wish = self._state.wish
        if self._joined is None or wish is None:
            return
        store, opener = self._bench.store, self._taken.opener

        def work() -> _Kept:
            merged, again = keep_joined(
                wish, store=store, opened=lambda take_id: opener.opened(store, take_id)
            )
            return _Kept(number=store.number(merged.id), again=len(again))

        self._keep_action.setEnabled(False)
        self._bench.worker.ask(_KEEP, work, then=self._tell_kept, refused=self._refuse_keep)

    def _tell_kept(self, kept: _Kept) -> None:
        self._bench.store_changed.emit()
        self.said.emit(words_of_kept(kept.number, again=kept.again))

    def _refuse_keep(self, error: Exception) -> None:
        self._keep_action.setEnabled(True)
        self.said.emit(words_of_no_merge(_sentence(error), state=self._state))

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        role = role_of(key)
        taken = self._state.takes.get(role)
        changed = self._form.typed("" if taken is None else taken.id, key, text)
        if self._read(changed).refused.get(key):
            self._put(changed)  # nothing of it counts yet: nothing to undo
            return
        self._edit(changed, text=_told(key, text))

    @Slot(str, str)
    def _choose(self, role: str, take_id: str) -> None:
        self._edit(self._form.choose(role, take_id), text=f"choose the {role} of the merge")

    def _edit(self, form: MergeForm, *, text: str) -> None:
        if form != self._form:
            edit = Edit(text, before=self._form, after=form, put=self._put)
            self._bench.undo_stack.push(edit)

    def _put(self, form: MergeForm) -> None:
        self._form = form
        self._settle()

    @Slot()
    def _follow(self) -> None:
        """Merge what is looked at, whatever was chosen for another take."""
        chosen = self._takes.chosen
        shown_id = "" if chosen is None else chosen.take.id
        if shown_id != self._shown_id:
            self._shown_id, self._form = shown_id, self._form.without_choices()
        self._look_up()

    @Slot(object)
    def _look(self, view: View) -> None:
        self._keep_action.setEnabled(False)
        if view is View.MERGED:
            self._asked = None  # it says again what it comes to
            self._look_up()

    @Slot()
    def _look_up(self) -> None:
        if self._plots.view is not View.MERGED:
            return
        store, unit = self._bench.store, self._unit
        self._bench.worker.ask(
            _TAKES,
            lambda: stood(store, unit=unit),
            then=self._offer,
            refused=self._refuse,
        )

    def _offer(self, found: tuple[Stood, ...]) -> None:
        self._stood = found
        self._settle()

    def _settle(self) -> None:
        self._state = self._read()
        self._paint_form()
        wish = self._state.wish
        if wish is None:
            if not self._state.waits_for_a_person:
                self._lack()
            return
        if wish == self._asked:
            return
        self._asked = wish
        store, taken = self._bench.store, self._taken
        self._bench.worker.ask(
            _TOPIC,
            lambda: _join(wish, store=store, taken=taken),
            then=self._take,
            refused=self._refuse,
        )

    def _take(self, joined: Joined) -> None:
        self._joined = joined
        self._paint(merge_card(joined, takes=self._state.takes))
        if self._plots.view is View.MERGED:
            self._keep_action.setEnabled(True)
            self.said.emit(words_of_merge(joined, state=self._state))

    def _lack(self) -> None:
        self._give_up(no_merge(self._state))
        self._say(words_of_lack(self._state))

    def _refuse(self, error: Exception) -> None:
        sentence = _sentence(error)
        self._give_up(no_merge(self._state, refused=sentence))
        self._say(words_of_no_merge(sentence, state=self._state))

    def _say(self, words: BayWords) -> None:
        if self._plots.view is View.MERGED:
            self.said.emit(words)

    def _give_up(self, card: MergeCard) -> None:
        self._bench.worker.forget(_TOPIC)
        self._joined, self._asked = None, None
        self._keep_action.setEnabled(False)
        self._paint(card)

    def _read(self, form: MergeForm | None = None) -> MergeFormState:
        shown = self._takes.shown
        looked_at = [one.take.id for one in shown]
        looked_at += [part for one in shown[:1] for part in one.take.rests_on.values()]
        return merge_form_state(
            self._form if form is None else form, self._stood, unit=self._unit, prefer=looked_at
        )

    @property
    def _unit(self) -> str | None:
        chosen = self._takes.chosen
        return self._bench.unit if chosen is None else chosen.take.unit

    def _paint(self, card: MergeCard) -> None:
        joined, page = self._joined, self._page
        self._paint_form()
        page.show_plot(page.level, merged_level_plot(joined))
        page.show_plot(page.difference, difference_plot(joined))
        page.show_plot(page.phase, merged_phase_plot(joined))
        page.stack.align()
        page.set_cursor(self._plots.cursor_hz)
        self._results.set_card(card)

    @Slot()
    def _paint_form(self) -> None:
        joined = self._joined
        self._panel.set_state(
            self._state,
            suits=suited_span(joined),
            refused=refused_span(joined),
            told=heads_of(self._state, joined),
        )


def _join(wish: MergeWish, *, store: Store, taken: Taken) -> Joined:
    return join(wish, take_of=lambda part: taken.of(store, part))


def _told(key: str, text: str) -> str:
    spec = FIELDS[key]
    value = f"to {text} {spec.unit}".strip() if text.strip() else "back"
    return f"set {spec.label.lower()} of what is merged {value}"


def _sentence(error: Exception) -> str:
    words = error.sentence if isinstance(error, BadInputError) else str(error).split(": ", 1)[-1]
    return f"{words[:1].upper()}{words[1:]}."
