"""The right column: the chosen link's values, how it stands, what proving it takes."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Words
from app.desktop.panels.chain.key_field import KeyField
from app.desktop.presenters.chain_link import LinkCard
from app.desktop.presenters.figures import Fact
from app.desktop.presenters.mark import Mark

_GLYPH = 14
_GAP = 8


class LinkPanel(QWidget):
    """Paints a LinkCard; ``typed`` (place, text) asks for another value."""

    typed = Signal(object, str)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head = SectionHead("")
        self.table = KeyButton(actions.of("response_table"))
        self.fields: dict[str, KeyField] = {}
        self.facts = FactsTable("What follows from its values")
        self._mark, self.standing = Glyph(size=_GLYPH), Words(wraps=True)
        self.need, self.caution = Prose(), Prose()
        self._standing = _marked(self._mark, self.standing)
        self._need = _section("To prove it you need", self.need)
        self._caution = _marked(Glyph(Mark.CAUTION, size=_GLYPH), self.caution)
        self._link = ""
        self._values = QVBoxLayout()
        self._values.setSpacing(0)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        top = QVBoxLayout()
        top.setSpacing(0)
        top.addWidget(self.head)
        top.addLayout(self._values)
        top.addWidget(self.facts)
        lines.addLayout(top)
        lines.addWidget(_section("Standing", self._standing))
        lines.addWidget(self._need)
        lines.addWidget(self._caution)
        lines.addStretch(1)
        lines.addWidget(self.table)
        keys = QHBoxLayout()
        keys.setSpacing(6)  # both just fit the column
        for action in ("calibrate", "prove_chain"):
            keys.addWidget(KeyButton(actions.of(action)))
        keys.addStretch(1)
        lines.addLayout(keys)
        self._lines = lines

    def set_card(self, card: LinkCard) -> None:
        """Show another link, or other values of the same one."""
        self.head.set_title(card.title)
        self.head.set_fact(card.fact)
        keys = [field.spec.key for field in card.fields]
        if card.link != self._link or keys != list(self.fields):
            self._build(card)
        for field in card.fields:
            self.fields[field.spec.key].set_field(field)
        self.set_facts(card.facts)
        self._mark.set_mark(card.mark)
        self.standing.set_text(card.standing)
        self.need.set_text(card.need)
        self.caution.set_text(card.caution)
        self._caution.setVisible(bool(card.caution))
        self.fit()

    def set_facts(self, facts: Sequence[Fact]) -> None:
        """Show what follows from the values, and what is heard now."""
        self.facts.set_facts(facts)
        self.fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold or unfold."""
        super().resizeEvent(event)
        self.fit()

    def fit(self) -> None:
        """Leave out what need not be read at once where all would not fit; cautions never fold."""
        has_response = any(one.spec.place[-1] == "response" for one in self.fields.values())
        parts = (
            (self._need, bool(self.need.text())),
            (self.table, has_response),  # its action has a key and stands in the menu
            (self.facts, bool(self.facts.facts)),
        )
        for part, is_wanted in parts:
            part.setVisible(is_wanted)
        for part, _ in parts:
            self._lines.activate()
            least = self._lines.totalMinimumSize().height()
            if max(least, self._lines.totalHeightForWidth(self.width())) <= self.height():
                return
            part.hide()

    def _build(self, card: LinkCard) -> None:
        self._link = card.link
        for old in self.fields.values():
            self._values.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.fields = {field.spec.key: KeyField(field.spec) for field in card.fields}
        for field in self.fields.values():
            field.typed.connect(self.typed)
            self._values.addWidget(field)
            field.show()  # until it is, its height is not counted


def _section(title: str, below: QWidget) -> QWidget:
    whole = QWidget()
    lines = QVBoxLayout(whole)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.setSpacing(2)
    lines.addWidget(SectionHead(title))
    lines.addWidget(below)
    return whole


def _marked(mark: Glyph, words: QWidget) -> QWidget:
    whole = QWidget()
    line = QHBoxLayout(whole)
    line.setContentsMargins(0, 2, 0, 0)
    line.setSpacing(8)
    line.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
    line.addWidget(words, 1)
    return whole
