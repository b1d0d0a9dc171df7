"""A quiet explanation, as wide as its column."""

from PySide6.QtWidgets import QWidget

from app.desktop.controls.words import Ink, Words


class Prose(Words):
    """Sentences in the second ink, 12 px, wrapped between words."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, ink=Ink.LABEL, px=12, wraps=True, parent=parent)
