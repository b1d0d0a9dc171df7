"""One calibration of the microphone in the window: hears, looks, keeps; wires its three columns."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from app.calibrate.follow import NOTHING_YET, Followed
from app.calibrate.microphone import LINK
from app.calibrate.run import Calibrated, Looked
from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.controls.columns import Columns
from app.desktop.panels.chain.calibrate_follows import CalibrateFollows
from app.desktop.panels.chain.calibrate_form import CalibrateForm
from app.desktop.panels.chain.calibrate_seen import CalibrateSeen
from app.desktop.panels.chain.calibrate_work import CalibrateWork
from app.desktop.panels.chain.one_proof import OneProof, failed_words
from app.desktop.person import person
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.calibrate_drift import drift_state
from app.desktop.presenters.calibrate_form import Form, first_form
from app.desktop.presenters.calibrate_live import live_state, live_words
from app.desktop.presenters.calibrate_phase import Phase
from app.desktop.presenters.calibrate_read import Read, keeps_words, read_form
from app.desktop.presenters.calibrate_result import allowed_db, result_state, result_words
from app.desktop.presenters.calibrate_rig import listen_for, rig_options
from app.desktop.presenters.chain_history import History
from app.desktop.presenters.mark import Mark
from app.desktop.run_state import Failure
from app.records.calibration_record import CalibrationRecord, Purpose
from dsp.calibration.sound_level import sound_level
from hardware.card import Capture
from hardware.chain.schema import PressureInput

_TOPIC = "calibration of the microphone"


class Calibrating(OneProof):
    """From the instrument on the microphone to a kept record."""

    def __init__(
        self,
        bench: Bench,
        actions: Actions,
        *,
        say: Callable[[BayWords], None],
        parent: QWidget,
    ) -> None:
        super().__init__(bench, say=say, parent=parent)
        self.form_panel, self.seen = CalibrateForm(), CalibrateSeen()
        self.follows = CalibrateFollows(actions)
        self.page = Columns(
            self.form_panel,
            self.seen,
            self.follows,
            pages=("Set up", "Result"),
            parent=parent,
        )
        self.phase = Phase.CLOSED
        self._form: Form | None = None
        self._read = Read(refused={})
        self._rig = ""
        self._history: History | None = None
        self._records: tuple[CalibrationRecord, ...] = ()
        self._captures: tuple[Capture, ...] = ()
        self._looked: Looked | None = None
        self._keep, self._again = actions.of("keep"), actions.of("again")
        self._leave = actions.of("leave_calibration")
        self._keep.triggered.connect(self.keep)
        self._again.triggered.connect(self.again)
        self._leave.triggered.connect(self.close)
        self.form_panel.typed.connect(self._type)
        self.form_panel.chosen.connect(self._choose)
        bench.coupling_followed.connect(self._follow)
        bench.coupled.connect(self._couple)
        bench.coupling_failed.connect(self._fail)
        self._follow_phase()

    @property
    def is_open(self) -> bool:
        """Whether a calibration is under way."""
        return self.phase is not Phase.CLOSED

    @property
    def couplings(self) -> int:
        """How many were heard so far."""
        return len(self._captures)

    def open(self, history: History) -> None:
        """Begin: look up the last time, then listen."""
        self._history, self._form = history, None
        self._captures, self._looked = (), None
        self.seen.clear("listening begins as soon as the last calibration is looked up")
        self.follows.set_result(None)
        options = rig_options(self._bench.chain.chain)
        self.form_panel.set_rig(options)
        self._rig = options[0][0] if options else ""
        self._set_phase(Phase.WORKING)
        self._wait(Mark.BUSY, "Looking up the last calibration.", "wait a moment.")
        self._look_up(self._take_first)

    @Slot()
    def again(self) -> None:
        """Hear another coupling; after a refusal the first one of another try."""
        if self.phase is Phase.REFUSED:
            self._captures = ()
        if self.phase in {Phase.REFUSED, Phase.ACCEPTED, Phase.FAILED, Phase.NOT_READY}:
            self._hear()

    @Slot()
    def keep(self) -> None:
        """Keep the record, and put its value into the chain."""
        work = self._work()
        if self.phase is Phase.ACCEPTED and work is not None:
            self._set_phase(Phase.WORKING)
            self._wait(Mark.BUSY, "Keeping it.", "wait a moment.")
            self._bench.worker.ask(
                _TOPIC, work.keep, then=self._take_kept, refused=self._tell_refusal
            )

    def _look_up(self, then: Callable[[tuple[CalibrationRecord, ...]], None]) -> None:
        store, name = self._bench.store, self._bench.chain.chain.name
        self._bench.worker.ask(
            f"{_TOPIC}, earlier",
            lambda: store.calibrations(chain=name, link=LINK),
            then=then,
            refused=self._tell_refusal,
        )

    def _take_first(self, records: tuple[CalibrationRecord, ...]) -> None:
        if not self.is_open:
            return
        self._records = records
        last = records[0] if records else None
        self._form = first_form(self._bench.chain.chain, last=last, operator=person())
        self._read_form()
        self._draw_drift()
        self._hear()

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        if self._form is not None:
            self._change(self._form.typed(key, text))

    @Slot(str, str)
    def _choose(self, what: str, key: str) -> None:
        if what == "rig":  # may be chosen before the last calibration is looked up
            self._rig = key
            if self.phase in {Phase.HEARING, Phase.FAILED}:
                self._hear()
            return
        form = self._form
        if form is None:
            return
        match what:
            case "nominal":
                self._change(form.chosen(key))
            case "accuracy_class":
                self._change(replace(form, accuracy_class=key))
            case "exchanged":
                self._change(replace(form, exchanged=bool(key)))
            case _:
                self._change(replace(form, purpose=key))

    def _change(self, form: Form) -> None:
        """Take other values: what was heard before is looked at anew, what is heard begins anew."""
        before, self._form = self._read, form
        self._read_form()
        if self._read.method is None:
            self._not_ready()
        elif self._captures and self.phase is not Phase.HEARING:
            self._look(is_new=False)
        elif before.method is None or self._sounds_other(before):
            self._hear()

    def _sounds_other(self, before: Read) -> bool:
        now = self._read
        if before.method is None or now.method is None or now.asked is None:
            return True
        return (
            before.method.instrument != now.method.instrument
            or before.asked is None
            or before.asked.conditions != now.asked.conditions
        )

    def _read_form(self) -> None:
        if self._form is None:
            return
        self._read = read_form(self._form)
        self.form_panel.set_form(self._form, refused=self._read.refused)
        kind = self._form.kind.value
        self.follows.keeps.set_text(keeps_words(self._read, file=self._file_words))
        self.seen.trace.set_hint(f"the level of the {kind} will run here as soon as it is heard")

    def _not_ready(self) -> None:
        self._bench.stop_hearing()
        self._set_phase(Phase.NOT_READY)
        self._wait(
            Mark.UNDECIDED,
            f"Not ready: {self._read.sentence}.",
            "mend it at the left; then the instrument is heard.",
        )

    def _hear(self) -> None:
        """Listen for a coupling beside those that there are."""
        method, asked, form = self._read.method, self._read.asked, self._form
        if method is None or asked is None or form is None:
            self._not_ready()
            return
        self._looked = None
        self.seen.clear(f"the level of the {form.kind.value} will run here as soon as it is heard")
        self.follows.set_result(None)
        self._set_phase(Phase.HEARING)
        self._bench.hear(
            listen_for(
                self._bench.chain,
                method.instrument,
                asked=asked,
                rig=self._rig,
                couplings=self.couplings,
            )
        )
        self._show_live(None)

    @Slot(object)
    def _follow(self, seen: Followed | None) -> None:
        if seen is not None and self.phase is Phase.HEARING:
            self._show_live(seen)

    def _show_live(self, seen: Followed | None) -> None:
        method, asked, wired = self._read.method, self._read.asked, self._wired()
        if method is None or asked is None or wired is None:
            return
        now = NOTHING_YET if seen is None else seen
        kind = method.instrument.kind.value
        expected = sound_level(method.instrument, conditions=asked.conditions).level_db
        state = live_state(now, expected_db=expected)
        self.seen.set_live(now, state, channel=wired.channel)
        self.follows.set_words(Mark.BUSY, state.told)
        self._say(live_words(now, instrument=kind, couplings=self.couplings))
        self._follow_phase()

    @Slot(object)
    def _couple(self, capture: Capture) -> None:
        if self.phase is Phase.HEARING:
            self._captures = (*self._captures, capture)
            self._look(is_new=True)

    def _look(self, *, is_new: bool) -> None:
        work = self._work()
        if work is None:
            return
        self._set_phase(Phase.WORKING)
        self._wait(Mark.BUSY, "Heard. Working it out.", "leave the instrument where it is.")
        self._bench.worker.ask(
            _TOPIC,
            work.look,
            then=partial(self._take_result, is_new=is_new),
            refused=self._tell_refusal,
        )

    def _take_result(self, looked: Looked, *, is_new: bool) -> None:
        if not self.is_open or self._read.asked is None:
            return
        self._looked = looked
        self._set_phase(Phase.ACCEPTED if looked.accepted else Phase.REFUSED)
        wired = self._wired()
        state = result_state(
            looked,
            before_v_per_pa=wired.sensitivity_v_per_pa if wired else float("nan"),
            couplings=self.couplings,
            purpose=self._read.asked.purpose,
        )
        self.seen.set_result(state)
        self.follows.set_result(state)
        self._draw_drift()
        self._say(
            result_words(
                looked,
                couplings=self.couplings,
                purpose=self._read.asked.purpose,
                is_rig=bool(rig_options(self._bench.chain.chain)),
            )
        )
        self._follow_phase()
        work = self._work()
        if work is not None and is_new and not looked.accepted:
            # Refused ones stay in the record: they teach.
            self._bench.worker.ask(
                f"{_TOPIC}, refused",
                work.keep,
                then=self._take_refused,
                refused=self._tell_refusal,
            )

    def _work(self) -> CalibrateWork | None:
        method, asked, file = self._read.method, self._read.asked, self._bench.wired.file
        if method is None or asked is None:
            return None
        return CalibrateWork(
            method=method,
            asked=asked,
            chain=self._bench.chain,
            folder=Path.cwd() if file is None else file.parent,
            store=self._bench.store,
            captures=self._captures,
        )

    def _take_refused(self, _: Calibrated) -> None:
        self._bench.store_changed.emit()
        self._look_up(self._take_records)

    def _take_records(self, records: tuple[CalibrationRecord, ...]) -> None:
        self._records = records
        if self.is_open:
            self._draw_drift()

    @Slot(object)
    def _fail(self, failure: Failure) -> None:
        if self.phase is Phase.HEARING:
            self._tell_failure(failure.sentence)

    def _tell_failure(self, sentence: str) -> None:
        self._set_phase(Phase.FAILED)
        words = failed_words(sentence, next_="look after the card, then press Again; Esc leaves.")
        self._say(words)
        self.follows.set_words(Mark.BAD, words.happened)
        self._follow_phase()

    def _draw_drift(self) -> None:
        wired, history = self._wired(), self._history
        if wired is None or history is None:
            return
        method, asked = self._read.method, self._read.asked
        self.seen.set_drift(
            drift_state(
                history,
                self._records,
                stated_v_per_pa=wired.sensitivity_v_per_pa,
                certificate_v_per_pa=method.certificate_v_per_pa if method else None,
                allowed_db=allowed_db(asked.purpose if asked else Purpose.CALIBRATION),
                result=self._looked.found.results[0] if self._looked else None,
                today=date.today(),  # noqa: DTZ011  a calendar day where one works
            ),
            due=history.due_on,
        )

    def _wired(self) -> PressureInput | None:
        return self._bench.chain.chain.input.pressure

    def _put_away(self) -> None:
        self._bench.stop_hearing()
        self._bench.worker.forget(_TOPIC)
        self._captures, self._looked = (), None
        self._set_phase(Phase.CLOSED)

    def _set_phase(self, phase: Phase) -> None:
        self.phase = phase
        self._follow_phase()

    def _follow_phase(self) -> None:
        for action in (self._keep, self._again, self._leave):
            action.setVisible(self.is_open)
        self._keep.setEnabled(self.phase is Phase.ACCEPTED)
        self._again.setEnabled(self.phase in {Phase.ACCEPTED, Phase.REFUSED, Phase.FAILED})

    def _wait(self, mark: Mark, happened: str, next_: str) -> None:
        self._say(BayWords(mark=mark, happened=happened, next=next_, action="keep", enabled=False))
        self._follow_phase()
