"""Every edit can be taken back, a gesture as a whole."""

from PySide6.QtGui import QUndoStack
from pytestqt.qtbot import QtBot

from app.desktop.undo import Edit


def test_undo_and_redo_set_the_values(qtbot: QtBot) -> None:  # noqa: ARG001  Qt must be up
    now = [1]
    stack = QUndoStack()
    stack.push(Edit("two", before=1, after=2, put=lambda value: now.append(value)))
    assert now[-1] == 2
    stack.undo()
    assert now[-1] == 1
    stack.redo()
    assert now[-1] == 2


def test_a_drag_is_one_step(qtbot: QtBot) -> None:  # noqa: ARG001
    now = [0]
    stack = QUndoStack()
    for step in range(1, 6):
        edit = Edit("drag", before=step - 1, after=step, put=now.append, gesture="drag 1")
        stack.push(edit)
    assert stack.count() == 1
    stack.undo()
    assert now[-1] == 0


def test_two_drags_are_two_steps(qtbot: QtBot) -> None:  # noqa: ARG001
    now = [0]
    stack = QUndoStack()
    stack.push(Edit("drag", before=0, after=1, put=now.append, gesture="drag 1"))
    stack.push(Edit("drag", before=1, after=2, put=now.append, gesture="drag 2"))
    assert stack.count() == 2
    stack.undo()
    assert now[-1] == 1


def test_typed_values_never_merge(qtbot: QtBot) -> None:  # noqa: ARG001
    now = [0]
    stack = QUndoStack()
    stack.push(Edit("type", before=0, after=1, put=now.append))
    stack.push(Edit("type", before=1, after=2, put=now.append))
    assert stack.count() == 2
