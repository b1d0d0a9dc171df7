"""How every tool of the Limits bay is laid out: head, rows, two buttons, a word about it."""

from collections.abc import Callable, Iterable

from PySide6.QtCore import SignalInstance
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead


def lay_out_tool(
    tool: QWidget,
    *,
    head: SectionHead,
    rows: Iterable[QWidget],
    do: tuple[str, Callable[[], None]],
    left: SignalInstance,
    hint: Prose,
    by_enter: bool = True,
) -> QAction:
    """Lay a tool out; return what its button does, which may be switched off.

    Parameters
    ----------
    tool : QWidget
        Empty.
    head : SectionHead
        What it does.
    rows : iterable of QWidget
        Its fields.
    do : (str, callable)
        Words and work of its button.
    left : SignalInstance
        Told by the button that goes back.
    hint : Prose
        Under the buttons.
    by_enter : bool
        Whether Enter presses that button.
    """
    apply, back = QAction(do[0], tool), QAction("Back", tool)
    apply.triggered.connect(do[1])
    back.triggered.connect(left)
    buttons = QHBoxLayout()
    buttons.setContentsMargins(0, 6, 0, 0)
    buttons.setSpacing(8)
    buttons.addWidget(KeyButton(apply, key="Enter" if by_enter else None))
    buttons.addWidget(KeyButton(back))
    buttons.addStretch(1)
    lines = QVBoxLayout(tool)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.setSpacing(0)
    lines.addWidget(head)
    for row in rows:
        lines.addWidget(row)
    lines.addLayout(buttons)
    lines.addSpacing(6)
    lines.addWidget(hint)
    lines.addStretch(1)
    tool.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
    return apply
