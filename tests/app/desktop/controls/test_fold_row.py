"""What is folded is out of sight but not out of mind: its fact is said, Space opens it."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.controls.field import Field
from app.desktop.controls.fold_row import FoldRow


def test_space_unfolds_and_folds_again(qtbot: QtBot) -> None:
    page, field = QWidget(), Field("Serial", numeric=False)
    qtbot.addWidget(page)
    fold = FoldRow("Its certificate", field)
    lines = QVBoxLayout(page)
    lines.addWidget(fold)
    lines.addWidget(field)
    page.show()
    fold.setFocus()
    assert not field.isVisible()
    QTest.keyClick(fold, Qt.Key.Key_Space)
    assert field.isVisible()
    QTest.keyClick(fold, Qt.Key.Key_Space)
    assert not field.isVisible()


def test_what_is_folded_is_said(qtbot: QtBot) -> None:
    fold = FoldRow("Its certificate")
    qtbot.addWidget(fold)
    fold.set_fact("K-2026-114")
    assert fold.accessibleName() == "Its certificate, K-2026-114, folded"
    fold.setChecked(True)
    assert fold.accessibleName() == "Its certificate, K-2026-114, open"
