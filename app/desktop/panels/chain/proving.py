"""One proof of a link in the window: wires, plays, reads, looks, keeps; one frame for every way."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from app.calibrate.run import Looked
from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.controls.columns import Columns
from app.desktop.hearing import IF_JOINED, when_heard
from app.desktop.panels.chain.one_proof import OneProof, failed_words
from app.desktop.panels.chain.prove_follows import ProveFollows
from app.desktop.panels.chain.prove_form import ProveFormPanel
from app.desktop.panels.chain.prove_seen import ProveSeen
from app.desktop.panels.chain.prove_work import ProveWork
from app.desktop.person import person
from app.desktop.presenters import prove_words as words
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.calibration_sheet import found_state
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.prove_phase import ProvePhase
from app.desktop.presenters.prove_plan import Plan, plan_of
from app.desktop.presenters.prove_read import ProveRead, read_prove, read_volts
from app.desktop.presenters.prove_ways import ProveForm, Way, ways_of
from app.desktop.run_state import Failure, RunState
from app.errors import AppError
from app.measure.events import Probed
from app.records.calibration_record import Purpose
from dsp.errors import DspError
from hardware.errors import HardwareError, ValueRefusedError

if TYPE_CHECKING:
    from hardware.card import Capture

_TOPIC = "proof of a link"
_IDLE = {ProvePhase.READY, ProvePhase.READING, ProvePhase.FAILED}
# What may change without another play.
_WORDS_ONLY = frozenset({"operator", "note", "serial", "certificate", "due", "temperature_c"})
_SHOWN = {ProvePhase.ACCEPTED, ProvePhase.REFUSED}


class Proving(OneProof):
    """From a way that was chosen to a kept record."""

    def __init__(
        self,
        bench: Bench,
        actions: Actions,
        *,
        say: Callable[[BayWords], None],
        parent: QWidget,
    ) -> None:
        super().__init__(bench, say=say, parent=parent)
        self.form_panel, self.seen = ProveFormPanel(), ProveSeen()
        self.follows = ProveFollows(actions)
        self.page = Columns(
            self.form_panel, self.seen, self.follows, pages=("Set up", "Result"), parent=parent
        )
        self.phase = ProvePhase.CLOSED
        self._ways: tuple[Way, ...] = ()
        self._form: ProveForm | None = None
        self._read = ProveRead()
        self._plan: Plan | None = None
        self._why = ""
        self._captures: tuple[Capture, ...] = ()
        self._volts: tuple[float, ...] = ()
        self._looked: Looked | None = None
        self._actions = {
            name: actions.of(name) for name in ("play_probe", "keep", "again", "leave_calibration")
        }
        for name, act in (
            ("play_probe", self.play),
            ("keep", self.keep),
            ("again", self.again),
            ("leave_calibration", self.close),
        ):
            self._actions[name].triggered.connect(act)
        self._actions["play_probe"].setVisible(False)
        self.form_panel.typed.connect(self._type)
        self.form_panel.chosen.connect(self._choose)
        self.form_panel.exchanged.connect(self._exchange)
        self.seen.read.connect(self._take_volts)
        bench.run_changed.connect(self._follow_run)
        bench.probed.connect(self._take_probed)
        bench.run_stopped.connect(self._tell_stopped)
        bench.run_failed.connect(self._fail)

    @property
    def is_open(self) -> bool:
        """Whether a proof is under way."""
        return self.phase is not ProvePhase.CLOSED

    @property
    def way(self) -> Way | None:
        """How it is done."""
        return None if self._form is None else self._form.way

    def open(self, way: Way) -> None:
        """Begin; nothing plays before a key is pressed."""
        self._ways = ways_of(self._bench.chain.chain)
        self.form_panel.set_ways(self._ways)
        self._begin(way)

    @Slot()
    def play(self) -> None:
        """Play what is next; a way that plays nothing looks."""
        plan = self._plan
        if plan is None or self.phase not in _IDLE or self._bench.run.is_active:
            return
        if not plan.plays:
            self._look()
            return
        when_heard(
            self.page,
            is_loud=plan.is_loud(self._bench.chain.chain),
            then=partial(self._play, plan),
            head=IF_JOINED,
        )

    def _play(self, plan: Plan) -> None:
        if plan is not self._plan or self.phase not in _IDLE or self._bench.run.is_active:
            return  # something else was begun while the question stood
        number = min(len(self._captures), len(plan.plays) - 1)
        if self.phase is ProvePhase.READING:  # once more: the last recording had no reading
            self._captures = self._captures[:-1]
            number = min(len(self._captures), len(plan.plays) - 1)
        self._set_phase(ProvePhase.PLAYING)
        self._bench.worker.ask(
            _TOPIC,
            partial(plan.probing, number),
            then=self._bench.probe,
            refused=self._tell_refusal,
        )

    @Slot()
    def again(self) -> None:
        """Play once more: for another reading, or from the first step on."""
        if self.phase is ProvePhase.READING:
            self.play()
        elif self.phase in {*_SHOWN, ProvePhase.FAILED} and self._plan is not None:
            repeats = self._plan.repeats and self.phase is ProvePhase.ACCEPTED
            if not repeats:
                self._captures, self._volts = (), ()
            self._looked = None
            self._set_phase(ProvePhase.READY)

    @Slot()
    def keep(self) -> None:
        """Keep the record, and put its value into the chain."""
        work = self._work()
        if self.phase is ProvePhase.ACCEPTED and work is not None:
            self._set_phase(ProvePhase.WORKING)
            self._bench.worker.ask(
                _TOPIC, work.keep, then=self._take_kept, refused=self._tell_refusal
            )

    def _begin(self, way: Way) -> None:
        air = self._bench.chain.chain.ambient
        who = {"operator": person(), "temperature_c": f"{air.temperature_c:g}"}
        before = {} if self._form is None else dict(self._form.texts)
        self._captures, self._volts, self._looked = (), (), None
        self._change(
            ProveForm(
                way=way,
                purpose=Purpose.CALIBRATION.value,
                texts={**way.first_texts, **who, **before},
            )
        )

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        if self._form is not None:
            self._change(
                replace(self._form, texts={**self._form.texts, key: text.strip()}),
                hears_anew=key not in _WORDS_ONLY,
            )

    @Slot(str, str)
    def _choose(self, what: str, key: str) -> None:
        if self._form is None:
            return
        if what == "way":
            self._bench.stop()
            self._begin(next(one for one in self._ways if one.key == key))
        else:
            self._change(replace(self._form, purpose=key), hears_anew=False)

    @Slot(bool)
    def _exchange(self, on: bool) -> None:  # noqa: FBT001  a switch's signal
        if self._form is not None:
            self._change(replace(self._form, exchanged=on), hears_anew=False)

    def _change(self, form: ProveForm, *, hears_anew: bool = True) -> None:
        """Take other values: what was played with others before does not count."""
        self._form, chain = form, self._bench.chain
        self._read = read_prove(form, chain=chain.chain)
        self._plan, self._why = None, self._read.sentence
        if self._read.asked is not None:
            try:
                self._plan = plan_of(form, self._read.values, chain=chain)
            except (AppError, DspError, HardwareError) as error:
                self._why = str(error)
        self.form_panel.set_form(form, refused=self._read.refused)
        self.follows.caution.set_text(form.way.caution)
        if hears_anew:
            self._captures, self._volts, self._looked = (), (), None
        if self._plan is None:
            self._set_phase(ProvePhase.NOT_READY)
        elif not hears_anew and self._looked is not None:
            self._look(is_same=True)
        elif hears_anew or self.phase is ProvePhase.NOT_READY:
            self._set_phase(ProvePhase.READY)
        else:
            self._present()

    @Slot(object)
    def _follow_run(self, _: RunState) -> None:
        if self.phase is ProvePhase.PLAYING:
            self._present()

    @Slot(object)
    def _take_probed(self, probed: Probed) -> None:
        plan = self._plan
        if self.phase is not ProvePhase.PLAYING or plan is None or self._form is None:
            return
        self._captures = (*self._captures, *probed.captures)
        if self._form.way.reads:
            self._set_phase(ProvePhase.READING)
        elif len(self._captures) < len(plan.plays):
            self._set_phase(ProvePhase.READY)
        else:
            self._look()

    @Slot(str)
    def _take_volts(self, text: str) -> None:
        if self.phase is not ProvePhase.READING or not text.strip():
            return
        try:
            volts = read_volts(text)
        except ValueRefusedError as error:
            self.seen.volts.refuse(error.sentence)
            return
        self._volts = (*self._volts, volts)
        self.page.setFocus()  # letters act again
        self._look()

    def _look(self, *, is_same: bool = False) -> None:
        work = self._work()
        if work is None:
            return
        self._set_phase(ProvePhase.WORKING)
        self._bench.worker.ask(
            _TOPIC,
            work.look,
            then=partial(self._take_result, is_same=is_same),
            refused=self._tell_refusal,
        )

    def _work(self) -> ProveWork | None:
        plan, asked, way = self._plan, self._read.asked, self.way
        if plan is None or asked is None or way is None:
            return None
        return ProveWork(
            plan=plan,
            table=way.table,
            asked=asked,
            chain=self._bench.chain,
            store=self._bench.store,
            captures=self._captures,
            volts=self._volts,
        )

    def _take_result(self, looked: Looked, *, is_same: bool) -> None:
        asked, plan = self._read.asked, self._plan
        if not self.is_open or asked is None or plan is None:
            return
        self._looked = looked
        self._set_phase(ProvePhase.ACCEPTED if looked.accepted else ProvePhase.REFUSED)
        self._say(words.found_words(looked, plan=plan, purpose=asked.purpose, is_same=is_same))
        self._allow()
        work = self._work()
        if work is not None and not looked.accepted and not is_same:  # kept as such: they teach
            self._bench.worker.ask(
                f"{_TOPIC}, refused",
                work.keep,
                then=lambda _: self._bench.store_changed.emit(),
                refused=self._tell_refusal,
            )

    @Slot()
    def _tell_stopped(self) -> None:
        if self.phase is ProvePhase.PLAYING:
            self._set_phase(ProvePhase.READY)
            self._say(words.stopped_words())

    @Slot(object)
    def _fail(self, failure: Failure) -> None:
        if self.phase is ProvePhase.PLAYING:
            self._tell_failure(failure.sentence)

    def _tell_failure(self, sentence: str) -> None:
        self._set_phase(ProvePhase.FAILED)
        self._say(failed_words(sentence, next_="look after it, then press Again."))

    def _put_away(self) -> None:
        if self.phase is ProvePhase.PLAYING:
            self._bench.stop()
        self._bench.worker.forget(_TOPIC)
        self._captures, self._volts, self._looked = (), (), None
        self._set_phase(ProvePhase.CLOSED)

    def _set_phase(self, phase: ProvePhase) -> None:
        was, self.phase = self.phase, phase
        way = self.way
        if self.is_open and way is not None:
            self._present()
            if phase is not was or phase is ProvePhase.READING:
                self.seen.set_reads(reads=bool(way.reads), now=phase is ProvePhase.READING)
        self._allow()

    def _present(self) -> None:
        """Show everything as it is now."""
        form, chain, looked = self._form, self._bench.chain.chain, self._looked
        if form is None:
            return
        now = words.Situation(
            way=form.way,
            plan=self._plan,
            phase=self.phase,
            number=len(self._captures),
            volts=self._volts,
            why=self._why,
            run=self._bench.run,
        )
        self.seen.set_steps(words.steps(now))
        self.seen.set_live(words.live_facts(now, chain=chain), fact=words.far_words(now))
        found = None
        if looked is not None and self.phase in _SHOWN:
            found = found_state(
                looked.found.results,
                mark=Mark.GOOD if looked.accepted else Mark.BAD,
                word="may be kept" if looked.accepted else "refused",
            )
        self.seen.set_found(found)
        against = (
            () if found is None or looked is None else words.against_facts(looked, chain=chain)
        )
        self.follows.set_found(found, against)
        self.follows.keeps.set_text(
            words.keeps_words(form.way, purpose=Purpose(form.purpose), file=self._file_words)
        )
        if self.phase not in _SHOWN:
            self._say(words.prove_words(now))

    def _allow(self) -> None:
        """Let the keys act that have something to act on."""
        for action in self._actions.values():
            action.setVisible(self.is_open)
        if not self.is_open:
            self._actions["keep"].setEnabled(False)
            return
        self._actions["play_probe"].setEnabled(self.phase in _IDLE and self._plan is not None)
        self._actions["keep"].setEnabled(self.phase is ProvePhase.ACCEPTED)
        self._actions["again"].setEnabled(
            self.phase in {*_SHOWN, ProvePhase.READING, ProvePhase.FAILED}
            and self._plan is not None
            and bool(self._plan.plays)
        )
