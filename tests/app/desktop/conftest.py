"""Every test of the window sees it dressed as a person does: style, palette, typeface."""

import pytest
from PySide6.QtWidgets import QApplication

from app.desktop.style import dress


@pytest.fixture(scope="session", autouse=True)
def _dressed(qapp: QApplication) -> None:
    dress(qapp, dark=False)
