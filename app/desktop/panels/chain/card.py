"""The sound card section: which card, through which driver, at which rate."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.panels.chain.key_field import KeyField
from app.desktop.presenters.chain_card import TWO, CardState
from app.desktop.presenters.chain_link import LinkField
from app.desktop.presenters.chain_links import BLOCK, RATE

_LABEL_PX = 60


class CardPanel(QWidget):
    """Paints a CardState, and asks for another card, driver, rate or block."""

    card_chosen = Signal(str)
    output_chosen = Signal(str)
    input_chosen = Signal(str)
    host_chosen = Signal(str)
    unit_chosen = Signal(str)
    real_time_toggled = Signal(bool)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head = SectionHead("Sound card")
        self.card, self.output = Choice("Card"), Choice("Card that plays")
        self.input, self.host = Choice("Card that records"), Choice("Driver")
        self.unit = Choice("Unit on the rig")
        self.real_time = Check("in real time")
        self.rate = KeyField(RATE, label_px=_LABEL_PX)
        self.block = KeyField(BLOCK, label_px=_LABEL_PX)
        self.trouble = Words(ink=Ink.BAD, px=12, wraps=True)
        for choice, signal in (
            (self.card, self.card_chosen),
            (self.output, self.output_chosen),
            (self.input, self.input_chosen),
            (self.host, self.host_chosen),
            (self.unit, self.unit_chosen),
        ):
            choice.chosen.connect(signal)
        self.real_time.clicked.connect(self.real_time_toggled)
        self._rows = {
            "card": FieldRow("Card", self.card, label_px=_LABEL_PX),
            "output": FieldRow("Plays", self.output, label_px=_LABEL_PX),
            "input": FieldRow("Records", self.input, label_px=_LABEL_PX),
            "host": FieldRow("Through", self.host, label_px=_LABEL_PX),
            "unit": FieldRow("Unit", self.unit, label_px=_LABEL_PX),
            "real_time": FieldRow("", self.real_time, label_px=_LABEL_PX),
        }
        buttons = QHBoxLayout()
        buttons.setContentsMargins(0, 4, 0, 2)
        buttons.setSpacing(4)
        for action in ("look_again", "save"):
            buttons.addWidget(KeyButton(actions.of(action)))
        buttons.addStretch(1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self.head)
        for row in self._rows.values():
            lines.addWidget(row)
        for key in (self.rate, self.block):
            lines.addWidget(key)
        lines.addWidget(self.trouble)
        lines.addLayout(buttons)

    def set_state(self, state: CardState, *, rate: LinkField, block: LinkField) -> None:
        """Show other devices, or another choice among them."""
        self.head.set_fact(state.fact)
        for choice, options, key in (
            (self.card, state.cards, state.card),
            (self.output, state.outputs, state.output),
            (self.input, state.inputs, state.input),
            (self.host, state.hosts, state.host),
            (self.unit, state.units, state.unit),
        ):
            choice.set_options(options)
            choice.set_key(key)
        self.real_time.setChecked(state.is_real_time)
        two = state.card == TWO
        for name, shown in (
            ("output", two),
            ("input", two),
            ("host", not state.is_rig),
            ("unit", state.is_rig),
            ("real_time", state.is_rig),
        ):
            self._rows[name].setVisible(shown)
        self.rate.set_field(rate)
        self.block.set_field(block)
        self.block.setVisible(not state.is_rig)
        self.trouble.set_text(state.trouble)
        self.trouble.setVisible(bool(state.trouble))
