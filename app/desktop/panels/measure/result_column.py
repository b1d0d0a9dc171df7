"""How every column of results is laid out: what was found, then copy and export below."""

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.key_button import KeyButton

_GAP = 8


def lay_out_results(results: QWidget, *, column: QWidget, actions: Actions) -> None:
    """Lay a column of results out.

    Parameters
    ----------
    results : QWidget
        Empty.
    column : QWidget
        What was found.
    actions : Actions
        Of the bay.
    """
    buttons = QHBoxLayout()
    buttons.setSpacing(_GAP)
    for action_id in ("copy", "export"):
        buttons.addWidget(KeyButton(actions.of(action_id)))
    buttons.addStretch(1)
    lines = QVBoxLayout(results)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.setSpacing(_GAP)
    lines.addWidget(column, 1)
    lines.addLayout(buttons)
