"""A take on a stale or refused calibration says so wherever it is seen, with the next step."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.bays.chain import ChainBay
from app.desktop.bays.measure import MeasureBay
from app.desktop.bays.records import RecordsBay
from app.desktop.panels.chain import devices
from app.desktop.presenters.mark import Mark
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from hardware.chain.load import load_chain
from tests.app.desktop.chain.seat import CHAIN, PATIENCE_MS, Seat
from tests.app.desktop.presenters.test_kept import made

LOUD = CHAIN.replace("full_scale_v = 2.0\nmax", "full_scale_v = 2.0\namplifier_gain = 4.0\nmax")
TODAY = datetime.now(UTC)
FRESH = LOUD.replace("2026-01-12", f"{TODAY:%Y-%m-%d}")


@pytest.fixture(autouse=True)
def _no_devices(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(devices, "_look", lambda: ())


@pytest.fixture
def stale(qtbot: QtBot, tmp_path: Path) -> Iterator[Seat]:
    seat = Seat(qtbot, tmp_path, chain=LOUD)
    qtbot.addWidget(seat.window)
    yield seat
    seat.window.close()


@pytest.fixture
def refused(qtbot: QtBot, tmp_path: Path) -> Iterator[Seat]:
    """A fresh chain, whose last calibration was refused an hour ago."""
    file = tmp_path / "bench-3.toml"
    file.write_text(FRESH, encoding="utf-8")
    record = replace(
        made(1, 0.0125, refused=True),
        chain=load_chain(file),
        made_utc=TODAY - timedelta(hours=1),
        captures=(),
    )
    with Store.open(tmp_path / "records.sqlite") as store:
        store.keep_calibration(record, captures=())
    seat = Seat(qtbot, tmp_path, chain=FRESH)
    qtbot.addWidget(seat.window)
    yield seat
    seat.window.close()


def measure(seat: Seat) -> MeasureBay:
    """Make a take with the key that makes one."""
    seat.press(Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    bay = seat.window.bay
    assert isinstance(bay, MeasureBay)
    app = QApplication.instance()
    assert app is not None
    app.setProperty("dustcap hearing told", True)  # it was asked before
    with seat.qtbot.waitSignal(seat.bench.take_kept, timeout=PATIENCE_MS):
        QTest.keyClick(QApplication.focusWidget() or seat.window, Qt.Key.Key_Space)
    seat.qtbot.waitUntil(lambda: not seat.bench.run.is_active, timeout=PATIENCE_MS)
    seat.settle()
    seat.qtbot.waitUntil(lambda: "Take 1 is kept" in seat.said, timeout=PATIENCE_MS)
    return bay


def record_of(seat: Seat) -> RecordsBay:
    seat.press(Qt.Key.Key_5, Qt.KeyboardModifier.ControlModifier)
    bay = seat.window.bay
    assert isinstance(bay, RecordsBay)
    seat.qtbot.waitUntil(lambda: bay.record is not None, timeout=PATIENCE_MS)
    return bay


def test_a_take_with_a_stale_calibration_says_so_everywhere(stale: Seat) -> None:
    assert "stale, " in stale.tile
    bay = measure(stale)
    take = bay.presenting.chosen
    assert take is not None
    assert take.take.verdict is Verdict.NOT_DECIDED
    assert "the microphone was stale. Next: prove the microphone" in stale.said
    result = bay.result
    assert result.verdict.detail == "until the microphone is proved"
    said = " ".join(one.sentence for one in result.warnings.said)
    assert "Marked figures stand on it and decide nothing" in said
    assert "Prove it (K), then press D" in said
    tile = bay.ribbon.state.tiles[0]
    assert (tile.mark, tile.word) == (Mark.STALE, "not decided, made with a stale calibration")
    panel = record_of(stale).panel
    assert any(one.mark is Mark.STALE for one in panel.warnings.said)
    stale.press(Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    stale.press(Qt.Key.Key_K)  # the next step, by its key
    assert isinstance(stale.window.bay, ChainBay)
    assert stale.window.bay.shown_link == "microphone"


def test_a_take_after_a_refused_calibration_says_so_everywhere(refused: Seat) -> None:
    refused.qtbot.waitUntil(lambda: "calibration refused" in refused.tile, timeout=PATIENCE_MS)
    bay = measure(refused)
    assert "the calibration of the microphone was refused. Next: calibrate" in refused.said
    assert bay.result.verdict.detail == "until the microphone is calibrated"
    tile = bay.ribbon.state.tiles[0]
    assert tile.word == "not decided, calibration of the microphone refused"
    refused.press(Qt.Key.Key_K)
    assert isinstance(refused.window.bay, ChainBay)
    assert refused.window.bay.shown_link == "microphone"
