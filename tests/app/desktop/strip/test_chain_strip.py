"""The strip as a widget: its tiles can be reached, it repaints no more than has to."""

from datetime import date
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QFontMetricsF, QPaintEvent
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.presenters.heard import Heard, heard_next
from app.desktop.presenters.strip import OnBench, strip_state
from app.desktop.presenters.strip_state import LINKS, StripState
from app.desktop.strip.chain_strip import ChainStrip
from app.desktop.strip.links import Pencil
from app.procedure.shipped import demo_chain

TODAY = date(2026, 8, 8)


class Painted(QObject):
    """Notes how low each repaint reached, px."""

    def __init__(self) -> None:
        super().__init__()
        self.bottoms: list[int] = []

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        if isinstance(event, QPaintEvent):
            self.bottoms.append(event.rect().bottom())
        return super().eventFilter(watched, event)


def state(*peaks_dbfs: float) -> StripState:
    heard = Heard()
    if peaks_dbfs:
        heard = heard_next(heard, peaks_dbfs=peaks_dbfs, sounding=True, at_s=0.0)
    return strip_state(demo_chain().chain, heard, bench=OnBench(today=TODAY, drive_v_rms=2.0))


@pytest.fixture
def strip(qtbot: QtBot) -> ChainStrip:
    made = ChainStrip()
    qtbot.addWidget(made)
    made.resize(1280, 108)
    made.set_state(state())
    with qtbot.waitExposed(made):
        made.show()
    return made


def test_every_link_has_a_tile_that_tells_itself(qtbot: QtBot, strip: ChainStrip) -> None:
    for key in LINKS:
        with qtbot.waitSignal(strip.link_pressed) as told:
            QTest.mouseClick(strip.tile(key), Qt.MouseButton.LeftButton)
        assert told.args == [key]
    assert strip.tile("microphone").accessibleName().startswith("Microphone, 12.50 mV/Pa")


def test_while_a_take_plays_the_wire_row_alone_is_painted(qtbot: QtBot, strip: ChainStrip) -> None:
    strip.set_state(state(-20.0, -20.0, -20.0))  # Stop and symbols change: all of it
    qtbot.waitUntil(lambda: strip.state is not None and strip.state.is_sounding)
    qtbot.wait(50)
    painted = Painted()
    strip.installEventFilter(painted)
    for level in (-21.0, -22.0, -23.0):
        strip.set_state(state(level, -20.0, -20.0))
    qtbot.waitUntil(lambda: strip.tile("input").accessibleDescription() == "−23.0 dBFS 23 left")
    qtbot.waitUntil(lambda: bool(painted.bottoms))
    assert max(painted.bottoms) < 50
    assert len(painted.bottoms) == 1  # three reports within a frame are one repaint


def test_stop_says_whether_there_is_sound(strip: ChainStrip) -> None:
    assert strip.stop.accessibleName() == "Stop, Esc, silent"
    strip.set_state(state(-20.0, -20.0, -20.0))
    assert strip.stop.accessibleName() == "Stop, Esc, sounding"


@pytest.mark.parametrize("is_folded", [False, True])
def test_in_the_narrowest_window_no_name_is_cut(
    strip: ChainStrip, monkeypatch: pytest.MonkeyPatch, is_folded: bool
) -> None:
    written: list[str] = []
    write = Pencil.write

    def note(self: Pencil, text: str, *args: Any, **how: Any) -> None:
        drawn = QFontMetricsF(how["face"]).horizontalAdvance(text)
        right = how.get("right")
        written.append(text if right is None or args[0].x() + drawn <= right + 0.5 else f"{text}…")
        write(self, text, *args, **how)

    monkeypatch.setattr(Pencil, "write", note)
    bench = OnBench(today=TODAY, drive_v_rms=2.0, unit="T4-W31-0426")
    strip.set_state(strip_state(demo_chain().chain, Heard(), bench=bench))
    strip.set_folded(folded=is_folded)
    strip.resize(1024, strip.height())
    strip.grab()
    assert "Microphone" in written
    assert ("Resistor" in written) is is_folded  # where there is room, all of its name
    assert ("W31-0426" if is_folded else "T4-W31-0426") in written
    assert not [text for text in written if text.endswith("…")]


def test_it_folds_to_48_px_and_its_tiles_with_it(strip: ChainStrip) -> None:
    strip.set_folded(folded=True)
    assert strip.height() == 48
    assert all(strip.tile(key).height() <= 48 for key in LINKS)
