"""Menus built from the table of actions; they open under the mark, so they cost no height."""

from PySide6.QtWidgets import QMenu, QWidget

from app.desktop.actions import ACTIONS, Actions

ORDER = ("File", "Edit", "View", "Measure", "Go", "Help")


def make_menu(actions: Actions, *, bay: str | None, parent: QWidget) -> QMenu:
    """Return the menu of a bay: what does not hold there is left out.

    Parameters
    ----------
    actions : Actions
        Of the window.
    bay : str or None
        The bay that is entered.
    parent : QWidget
        Whose it is.
    """
    menu = QMenu(parent)
    for title in ORDER:
        held = [
            spec
            for spec in ACTIONS
            if spec.menu == title and (not spec.bays or bay is None or bay in spec.bays)
        ]
        if held:
            sub = menu.addMenu(title)
            for spec in held:
                sub.addAction(actions.of(spec.id))
    return menu
