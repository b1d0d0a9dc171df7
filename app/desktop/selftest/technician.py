"""The technician's story: looks at the chain, mends a value, wires an input, calibrates, prints."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit

from app.desktop.bays.chain import ChainBay
from app.desktop.controls.choice import Choice
from app.desktop.presenters.strip_state import LinkState
from app.desktop.selftest.hands import Hands, StoryBrokeError
from app.desktop.selftest.stage import Stage

_CONTROL = Qt.KeyboardModifier.ControlModifier
_SHIPPED = "12.50 mV/Pa"
_CALIBRATOR = 2  # in the list of standard values, from 0: the input stands no 124 dB
_SEATED = "On the rig's microphone"
_LEAKS = 1  # in that list, from 0
_FREE_INPUT = 4  # of the rig; the chain that ships wires three


def tell_technician(hands: Hands, stage: Stage) -> None:
    """Play the story.

    Raises
    ------
    StoryBrokeError
        A step did not come to what it should.
    """
    window = stage.window
    with hands.step("presses the microphone's tile: its link opens in Chain"):
        hands.click(window.strip.tile("microphone"))
        bay = window.bay
        if not isinstance(bay, ChainBay) or bay.shown_link != "microphone":
            raise StoryBrokeError("the tile does not open its link")
    with hands.step("sees the noise of the idle microphone on the wire"):
        hands.wait("a level", lambda: bool(_link(stage, "microphone").live.fill))
    with hands.step("types a sensitivity that cannot be: it is refused beside its field"):
        _type(hands, stage, field="Sensitivity", text="-3")
        if _link(stage, "microphone").value != _SHIPPED:
            raise StoryBrokeError("a refused value came into the chain")
    with hands.step("types the one on the certificate: the tile follows; Ctrl Z takes it back"):
        _type(hands, stage, field="Sensitivity", text="12.61")
        hands.wait("the tile", lambda: _link(stage, "microphone").value == "12.61 mV/Pa")
        hands.press(Qt.Key.Key_Escape)
        hands.press(Qt.Key.Key_Z, _CONTROL)
        hands.wait("the tile", lambda: _link(stage, "microphone").value == _SHIPPED)
    with hands.step("wires the loopback to a free input, by its live level"):
        _wire_loopback(hands, stage, bay)
    with hands.step("saves the chain"):
        hands.press(Qt.Key.Key_S, _CONTROL)
        file = stage.bench.wired.file
        hands.wait(
            "the wiring in the file",
            lambda: file is not None and "[input.loopback]" in file.read_text(encoding="utf-8"),
        )
    _calibrate(hands, stage)


def _calibrate(hands: Hands, stage: Stage) -> None:
    """Put the rig's calibrator on: refused where it leaks, kept where it is seated well."""
    with hands.step("presses K, chooses the calibrator of 94 dB: it is heard by itself"):
        begin_calibration(hands, stage)
        hands.wait(
            "the tone on the tile",
            lambda: "settling" in _link(stage, "microphone").health or stage.reads("Settled"),
        )
        hands.wait("Keep", lambda: stage.reads("Settled"))
    with hands.step("seats it so that it leaks: refused, kept as such, nothing changed"):
        _choose(hands, stage, name=_SEATED, times=_LEAKS)
        hands.press(Qt.Key.Key_A)
        hands.wait("the refusal", lambda: stage.reads("Nothing changed"))
        hands.wait("the tile", lambda: _link(stage, "microphone").short == "refused")
    with hands.step("seats it well, presses Again, keeps it: the tile and the file follow"):
        _choose(hands, stage, name=_SEATED, times=0)
        hands.press(Qt.Key.Key_A)
        hands.wait("Keep", lambda: stage.reads("Settled"))
        hands.press(Qt.Key.Key_Return)
        hands.wait("the file", lambda: stage.reads("It stands in"))
        hands.wait("the tile", lambda: _link(stage, "microphone").short == "proved")
    with hands.step("opens the newest of the list and prints its certificate: P"):
        open_newest(hands, stage)
        hands.press(Qt.Key.Key_P)
        hands.wait("the certificate", lambda: stage.reads("Certificate: "))
        if not list((stage.folder / "certificates").glob("calibration-*.pdf")):
            raise StoryBrokeError("no page lies beside the chain")
        hands.press(Qt.Key.Key_Escape)


def open_newest(hands: Hands, stage: Stage) -> None:
    """Open the newest kept calibration of the chosen link, by keys."""
    bay = stage.window.bay
    if not isinstance(bay, ChainBay):
        raise StoryBrokeError("calibrations are listed in Chain")
    hands.wait("the list", lambda: not stage.bench.worker.is_busy)
    bay.history.table.setFocus()
    hands.press(Qt.Key.Key_Home)
    hands.press(Qt.Key.Key_Return)
    hands.wait("its record", lambda: bay.keeping.is_open)


def begin_calibration(hands: Hands, stage: Stage) -> None:
    """Open the calibration of the microphone, and say that it is a sound calibrator of 94 dB."""
    stage.window.open_bay("chain", "microphone")
    hands.press(Qt.Key.Key_Escape)
    hands.press(Qt.Key.Key_K)
    hands.wait("listening", lambda: stage.reads("Listening") or stage.reads("is heard"))
    _choose(hands, stage, name="Instrument", times=_CALIBRATOR)


def _choose(hands: Hands, stage: Stage, *, name: str, times: int) -> None:
    """Choose from a list by keys: so many below its first."""
    box = hands.find(Choice, name, within=stage.window)
    box.setFocus()
    hands.press(Qt.Key.Key_Home)
    for _ in range(times):
        hands.press(Qt.Key.Key_Down)
    stage.window.setFocus()


def _link(stage: Stage, key: str) -> LinkState:
    state = stage.window.strip.state
    if state is None:
        raise StoryBrokeError("the strip is empty")
    return next(link for link in state.links if link.key == key)


def _type(hands: Hands, stage: Stage, *, field: str, text: str) -> None:
    box = hands.find(QLineEdit, field, within=stage.window)
    hands.click(box)
    box.selectAll()
    hands.write(text)
    hands.press(Qt.Key.Key_Return)


def _wire_loopback(hands: Hands, stage: Stage, bay: ChainBay) -> None:
    wiring = bay.set_up.wiring
    hands.click(wiring.rows["loopback"])
    hands.wait("the list of inputs", wiring.channels.isVisible)
    hands.wait("a live level in it", lambda: "dB" in wiring.channels.item(1).text())
    hands.press(Qt.Key.Key_Home)
    for _ in range(_FREE_INPUT - 1):
        hands.press(Qt.Key.Key_Down)
    hands.press(Qt.Key.Key_Return)
    hands.wait("to be asked for what it is worth", lambda: stage.reads("marked needed"))
    _type(hands, stage, field="Full scale", text="2")
    hands.wait("the wire", lambda: _loopback_channel(stage) == _FREE_INPUT)


def _loopback_channel(stage: Stage) -> int | None:
    loopback = stage.bench.chain.chain.input.loopback
    return None if loopback is None else loopback.channel
