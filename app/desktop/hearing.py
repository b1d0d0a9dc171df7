"""Asks once a session before something plays that is loud at the ear."""

from collections.abc import Callable

from PySide6.QtWidgets import QApplication, QLabel, QMessageBox, QWidget

from app.desktop.fonts import font

_TOLD = "dustcap hearing told"
_WIDTH = 340  # px
HEAD = "This plays above 85 dB at your ear."
IF_JOINED = "Where a unit is joined, this plays above 85 dB at your ear."
_TEXT = (
    "Predicted at 0.5 m from the unit. Leave the room or wear hearing protection, and follow the "
    "rules of your place of work. Esc or the space bar stop the output at any time."
)


def when_heard(
    parent: QWidget, *, is_loud: bool, then: Callable[[], None], head: str = HEAD
) -> QMessageBox | None:
    """Go on at once where nothing is loud or the person was asked before; ask otherwise.

    Parameters
    ----------
    parent : QWidget
        Over which the question stands.
    is_loud : bool
        Whether more than 85 dB are predicted at the ear.
    then : callable
        What to go on with.
    head : str
        What is loud, and when.

    Returns
    -------
    The question, open; None where none had to be asked.
    """
    app = QApplication.instance()
    assert app is not None
    if not is_loud or app.property(_TOLD):
        then()
        return None
    box = QMessageBox(QMessageBox.Icon.NoIcon, "Dustcap", head, parent=parent)
    box.setInformativeText(_TEXT)
    label = box.findChild(QLabel, "qt_msgbox_label")
    if label is not None:
        label.setFont(font(14, bold=True))
        label.setMinimumWidth(_WIDTH)
    play = box.addButton("Play", QMessageBox.ButtonRole.AcceptRole)
    wait = box.addButton("Not yet", QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(play)
    box.setEscapeButton(wait)

    def answered() -> None:
        if box.clickedButton() is play:
            app.setProperty(_TOLD, True)  # for all bays, until Dustcap is left
            then()

    box.finished.connect(answered)
    box.finished.connect(box.deleteLater)
    box.open()
    return box
