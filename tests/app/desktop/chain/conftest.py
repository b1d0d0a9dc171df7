"""A seat at the Chain bay."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.panels.chain import devices
from tests.app.desktop.chain.seat import Seat


@pytest.fixture
def seat(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Seat]:
    monkeypatch.setattr(devices, "_look", lambda: ())
    made = Seat(qtbot, tmp_path)
    qtbot.addWidget(made.window)
    yield made
    made.window.close()
