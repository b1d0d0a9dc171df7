"""The residual of the shown take as a sound: played to a person, or written to a file."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QFileDialog, QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.panels.chain.devices import Devices
from app.desktop.panels.defects.defects_panel import DefectsPanel
from app.desktop.panels.defects.defects_view import DefectsView
from app.desktop.presenters.figures import minus
from app.desktop.presenters.hear_words import (
    LOOK,
    OWN,
    Wish,
    card_options,
    first_channel,
    words_after,
    words_before_first,
    words_found,
    words_no_card,
    words_not_heard,
    words_preparing,
    words_while_heard,
    words_written,
)
from app.desktop.run_state import Failure, RunState
from app.errors import AppError
from app.measure.auralise import Outlet, check_outlet, outlet_chain, outlet_request
from app.measure.events import State
from app.measure.sound_run import Sound
from app.report.residual_files import write_residual
from dsp.defects.reading import DefectReading
from dsp.defects.slowed import slowed
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

_TOPIC = "residual as a sound"


class HearView(QObject):
    """Plays and writes; ``said`` (BayWords) tells what came of it."""

    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        actions: Actions,
        defects: DefectsView,
        panel: DefectsPanel,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._bench, self._defects, self._panel, self._over = bench, defects, panel, parent
        self._devices = Devices(bench, self)
        self._is_looking = self._is_warned = False
        chain = bench.chain.chain
        card = OWN if chain.device.backend == "soundcard" else ""
        self._wish = Wish(card=card, channel=first_channel(chain, card=card))
        self._number: int | None = None  # of the take whose residual sounds
        self._actions = {name: actions.of(name) for name in ("hear_residual", "write_residual")}
        self._actions["hear_residual"].triggered.connect(self.hear)
        self._actions["write_residual"].triggered.connect(self.ask_file)
        panel.card_chosen.connect(self._choose_card)
        panel.pace_chosen.connect(self._choose_pace)
        panel.typed.connect(self._type)
        defects.found.connect(self._allow)
        self._devices.changed.connect(self._take_cards)
        bench.chain_changed.connect(self._take_chain)
        bench.run_changed.connect(self._follow)
        bench.run_failed.connect(self._fail)
        self._allow(None)
        self._present()

    @property
    def wish(self) -> Wish:
        """What is chosen."""
        return self._wish

    @Slot()
    def hear(self) -> None:
        """Play it; before the first time in a session the caution is told instead."""
        seen, shown, outlet = self._defects.seen, self._defects.shown, self._wish.outlet
        if seen is None or shown is None or self._bench.run.is_active:
            return
        if outlet is None:
            self.said.emit(words_no_card())
            return
        # Where the unit hangs now, wherever it hung when the take was made.
        chain, slower = self._bench.chain, self._wish.slower
        try:
            check_outlet(outlet, chain=chain)
        except AppError as error:
            self.said.emit(words_not_heard(str(error)))
            return
        if not self._is_warned:
            self._is_warned = True
            self.said.emit(words_before_first())
            return
        self.said.emit(words_preparing(shown.number))
        self._bench.worker.ask(
            _TOPIC,
            partial(_sound, seen.reading, slower=slower, chain=chain, outlet=outlet),
            then=partial(self._start, number=shown.number),
            refused=lambda error: self.said.emit(words_not_heard(str(error))),
        )

    @Slot()
    def ask_file(self) -> None:
        """Ask where to write it."""
        shown = self._defects.shown
        if self._defects.seen is None or shown is None:
            return
        name, _ = QFileDialog.getSaveFileName(
            self._over, "Write the residual", f"take-{shown.number}-residual.wav", "Sound (*.wav)"
        )
        if name:
            self.write(Path(name).with_suffix(".wav"))

    def write(self, path: Path) -> None:
        """Write it to a file."""
        seen = self._defects.seen
        if seen is None:
            return
        self._bench.worker.ask(
            _TOPIC,
            partial(_write, seen.reading, slower=self._wish.slower, path=path),
            then=lambda written: self.said.emit(words_written(written.name)),
            refused=lambda error: self.said.emit(words_not_heard(str(error))),
        )

    @Slot(object)
    def _allow(self, seen: object) -> None:
        for action in self._actions.values():
            action.setEnabled(seen is not None)

    def _start(self, sound: Sound, *, number: int) -> None:
        if not self._bench.run.is_active:  # a take may have begun meanwhile
            self._number = number
            self._bench.sound(sound)

    @Slot(object)
    def _follow(self, run: RunState) -> None:
        if self._number is None or run.phase is State.FAILED:  # why it failed follows
            return
        if run.is_active:
            self.said.emit(words_while_heard(run, number=self._number, slower=self._wish.slower))
        else:
            number, self._number = self._number, None
            self.said.emit(words_after(number, stopped=run.phase is State.STOPPED))

    @Slot(object)
    def _fail(self, failure: Failure) -> None:
        if self._number is not None:
            self._number = None
            self.said.emit(words_not_heard(failure.sentence))

    @Slot(str)
    def _choose_card(self, key: str) -> None:
        if key == LOOK:
            self._is_looking = True
            self._devices.look()
            self._present()
        else:
            self._put(card=key, channel=first_channel(self._bench.chain.chain, card=key))

    @Slot(str)
    def _choose_pace(self, key: str) -> None:
        self._put(slower=int(key))

    @Slot(str, str)
    def _type(self, key: str, text: str) -> None:
        field = self._panel.fields[key]
        try:
            value = typed_number(text, key=key, unit="dB re full scale")
            tried = replace(
                self._wish,
                channel=_whole(value, key=key) if key == "channel" else self._wish.channel,
                peak_dbfs=value if key == "peak_dbfs" else self._wish.peak_dbfs,
            )
            if tried.outlet is not None:
                check_outlet(tried.outlet, chain=self._bench.chain)
        except (ValueRefusedError, AppError) as error:
            words = str(error).split(": ", 1)[-1]
            field.refuse(f"{words[:1].upper()}{words[1:]}.")
            return
        self._wish = tried
        self._present()

    @Slot()
    def _take_cards(self) -> None:
        if not self._is_looking:
            return
        self._is_looking = False
        self._present()
        if self._devices.cannot_look:
            self.said.emit(words_not_heard(self._devices.cannot_look))
        else:
            keys = dict(self._options())
            self.said.emit(words_found(len(keys.keys() - {LOOK, OWN, ""})))

    @Slot(object)
    def _take_chain(self) -> None:
        chain = self._bench.chain.chain
        if self._wish.card not in dict(self._options()):
            card = OWN if chain.device.backend == "soundcard" else ""
            self._wish = replace(self._wish, card=card)
        self._put(channel=first_channel(chain, card=self._wish.card))

    def _options(self) -> tuple[tuple[str, str], ...]:
        return card_options(self._bench.chain.chain, found=self._devices.found)

    def _put(self, **chosen: Any) -> None:
        self._wish = replace(self._wish, **chosen)
        self._present()

    def _present(self) -> None:
        panel, wish = self._panel, self._wish
        panel.card.set_options(self._options())
        panel.card.set_key(wish.card)
        panel.pace.set_key(str(wish.slower))
        texts = {"channel": str(wish.channel), "peak_dbfs": minus(f"{wish.peak_dbfs:g}")}
        for key, text in texts.items():
            panel.fields[key].set_text(text)
            panel.fields[key].accept()


def _sound(reading: DefectReading, *, slower: int, chain: ChainSnapshot, outlet: Outlet) -> Sound:
    made = slowed(reading, slower=slower, peak=1.0)
    return Sound(
        chain=outlet_chain(chain, outlet=outlet),
        request=outlet_request(made, chain=chain, outlet=outlet),
    )


def _write(reading: DefectReading, *, slower: int, path: Path) -> Path:
    return write_residual(slowed(reading, slower=slower, peak=1.0), path)


def _whole(value: float, *, key: str) -> int:
    if value != round(value) or value < 1:
        raise ValueRefusedError(key, "not an output", given=f"{value:g}", allowed="1, 2, …")
    return round(value)
