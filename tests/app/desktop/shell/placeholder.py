"""A bay with a text field and nothing else: the shell is tested without any real one."""

from PySide6.QtWidgets import QLineEdit, QVBoxLayout

from app.desktop.actions import Actions
from app.desktop.bays.bay import Bay
from app.desktop.bench import Bench
from app.desktop.presenters.bay_words import BayWords


class Placeholder(Bay):
    def __init__(self, name: str, bench: Bench, actions: Actions) -> None:
        super().__init__(bench, actions)
        self.title = name
        self.shown: list[object] = []
        self.went: list[str] = []
        self.field = QLineEdit(self)
        QVBoxLayout(self).addWidget(self.field)
        if name == "measure":
            actions.of("play").triggered.connect(bench.play)
            self.say(BayWords(happened="Nothing yet.", next="press Play.", action="play"))

    def entered(self) -> None:
        self.went.append("entered")

    def left(self) -> None:
        self.went.append("left")

    def show_there(self, payload: object) -> None:
        self.shown.append(payload)


def placeholder(name: str, bench: Bench, actions: Actions) -> Bay:
    return Placeholder(name, bench, actions)
