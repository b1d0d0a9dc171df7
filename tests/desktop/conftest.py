"""Whole flows in the real window: dressed as it is, dialogs of Qt's own, defects not hidden."""

import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.desktop.style import dress
from tests.app.desktop.collecting import _collected_between_files, _imports_frozen  # noqa: F401


@pytest.fixture(autouse=True)
def dressed(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[QApplication]:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    # The stage puts its own hooks in their places; afterwards they stand as before.
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    qapp.setAttribute(Qt.ApplicationAttribute.AA_DontUseNativeDialogs)
    dress(qapp, dark=False)
    yield qapp
    dress(qapp, dark=None)
