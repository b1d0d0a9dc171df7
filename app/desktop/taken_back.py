"""What an undo or redo did, in words, and in which bay it is seen."""

from PySide6.QtGui import QAction, QUndoStack

from app.desktop.undo import Edit


def bay_of(edit: Edit) -> str:
    """Return the bay in which an edit is seen."""
    from app.desktop.bench import Wired  # there is a bench, as something was edited on it

    before, after = edit.before, edit.after
    if isinstance(after, Wired):
        return "chain"
    return "measure" if before.procedure.masks == after.procedure.masks else "limits"


def taken_back(edit: Edit, *, is_redone: bool, entered: str | None) -> str:
    """Say what was taken back, or done again; where, if that is not where a person is."""
    verb, bay = "Done again" if is_redone else "Taken back", bay_of(edit)
    where = "" if bay == entered else f" in {bay.capitalize()}"
    text = edit.text()
    return f"{verb}{where}: {text[:1].lower()}{text[1:]}."


def name_steps(stack: QUndoStack, *, undo: QAction, redo: QAction) -> None:
    """Let two actions say what they would undo and redo, and act where there is something."""
    undo.setEnabled(stack.canUndo())
    redo.setEnabled(stack.canRedo())
    undo.setText(f"Undo {stack.undoText()}".strip())
    redo.setText(f"Redo {stack.redoText()}".strip())


def step_back(stack: QUndoStack) -> Edit | None:
    """Undo one edit; None where there was none."""
    edit = stack.command(stack.index() - 1)
    stack.undo()
    return edit if isinstance(edit, Edit) else None


def step_forth(stack: QUndoStack) -> Edit | None:
    """Redo one edit; None where there was none."""
    edit = stack.command(stack.index())
    stack.redo()
    return edit if isinstance(edit, Edit) else None
