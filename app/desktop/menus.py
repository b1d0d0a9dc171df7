"""Menus built from the table of actions; they open under the mark, so they cost no height."""

from PySide6.QtWidgets import QMenu, QWidget

from app.desktop.actions import ACTIONS, Actions

ORDER = ("File", "Edit", "View", "Measure", "Go", "Help")


def make_menu(actions: Actions, *, parent: QWidget) -> QMenu:
    """Return the menu of what can be done now; what does not hold is left out."""
    menu = QMenu(parent)
    for title in ORDER:
        held = [actions.find(spec.id) for spec in ACTIONS if spec.menu == title]
        if any(held):
            sub = menu.addMenu(title)
            sub.addActions([action for action in held if action is not None])
    return menu
