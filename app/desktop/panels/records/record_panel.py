"""The right column: the verdict, how the take was made, what it holds, what can be done with it."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Words
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.panels.records.ask_row import AskRow
from app.desktop.panels.records.button_grid import ButtonGrid
from app.desktop.presenters.figures import Fact
from app.desktop.presenters.measure_verdict import MaskLine
from app.desktop.presenters.records_compare import AgainState, ComparedState
from app.desktop.presenters.records_take import RecordState

_GAP, _BAR_GAP = 10, 4
_EMPTY = (
    "The record of a take stands here: how it was made, its masks and numbers, what it warns of, "
    "and whether its recording still gives the same figures."
)
_BUTTONS = (
    ("derive_again", "Derive again"),
    ("compare", "Compare"),
    ("report", "Report…"),
    ("export", "Export…"),
    ("open_take", "Open"),
)


class RecordPanel(QWidget):
    """What is known of the chosen take; while two are compared, how they differ."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Take")
        self._mark, self._sentence = Glyph(size=16), Words(bold=True, px=14, wraps=True)
        self.empty = Prose(_EMPTY)
        self.made = FactsTable("How it was made", words=True)
        self.masks = FactsTable("Masks")
        self.numbers = FactsTable("Numbers")
        self.warnings = Sentences()
        self.compared_numbers = FactsTable("Numbers, new less old")
        self.compared_curves = FactsTable("Curves, new less old", words=True)
        self._compared_note = Sentences()
        for prose in (self.warnings, self._compared_note):
            # Where it scrolls, what they wish for at their narrowest counts for nothing.
            prose.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._again_head = SectionHead("Derived again")
        self.again = Sentences()
        self._masks_head = SectionHead("Masks")
        self._numbers_head = SectionHead("Numbers")
        self._compared_head = SectionHead("Numbers")
        self._record = _section_stack(
            (SectionHead("How it was made"), self.made),
            (self._masks_head, self.masks),
            (self._numbers_head, self.numbers),
            (SectionHead("Warnings"), self.warnings),
        )
        self._compared = _section_stack(
            (self._compared_head, self.compared_numbers),
            (SectionHead("Curves", "largest difference"), self.compared_curves),
            (SectionHead("How to read it"), self._compared_note),
        )
        self._buttons = ButtonGrid(
            [KeyButton(actions.of(action), text=text) for action, text in _BUTTONS]
        )
        self._foot = QVBoxLayout()
        self._lay_out()
        self.end_comparison()

    @property
    def title(self) -> str:
        """Which take, or which two."""
        return self._head.title

    @property
    def told(self) -> str:
        """The quiet fact in its head."""
        return self._head.fact

    @property
    def sentence(self) -> str:
        """The verdict."""
        return self._sentence.text()

    def set_record(self, state: RecordState | None) -> None:
        """Show a record; None: say what will stand here."""
        if state is None:
            self._head.set_title("No take chosen")
            self._head.set_fact("")
            self._mark.hide()
            self._sentence.set_text("")
            self.empty.show()
            for table in (self.made, self.masks, self.numbers):
                table.set_facts(())
            self.warnings.say(())
            self._record.hide()
            return
        self._record.show()
        self.empty.hide()
        self._head.set_title(state.title)
        self._head.set_fact(state.told)
        self._mark.show()
        self._mark.set_mark(state.mark)
        self._sentence.set_text(state.sentence)
        self.made.set_facts(state.made)
        self.masks.set_facts(_mask_facts(state.masks))
        self._masks_head.setVisible(bool(state.masks))
        self._numbers_head.set_fact(state.numbers.told)
        self.numbers.set_facts(state.numbers.facts)
        self.warnings.say(state.said)

    def add_question(self, row: AskRow) -> None:
        """Let a row ask for something at the foot; the buttons give way meanwhile."""
        self._foot.addWidget(row)
        row.shown.connect(self._buttons.setHidden)

    def set_again(self, state: AgainState) -> None:
        """Show what deriving it again brought."""
        self._again_head.set_fact(state.told)
        self.again.say(state.said)

    def set_compared(self, state: ComparedState) -> None:
        """Show how two takes differ, instead of the record."""
        self._head.set_title(state.title)
        self._head.set_fact(state.told)
        self._mark.set_mark(state.mark)
        self._sentence.set_text(state.sentence)
        self.compared_numbers.set_facts(state.numbers)
        self.compared_curves.set_facts(state.curves)
        self._compared_note.say(state.note)
        self._record.hide()
        self._compared.show()
        self._again_head.hide()
        self.again.hide()

    def end_comparison(self) -> None:
        """Go back to the record; the next ``set_record`` fills it."""
        self._compared.hide()
        self._record.show()
        self._again_head.show()
        self.again.show()

    def _lay_out(self) -> None:
        verdict = QHBoxLayout()
        verdict.setContentsMargins(0, 4, 0, 6)
        verdict.setSpacing(8)
        verdict.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignTop)
        verdict.addWidget(self._sentence, 1)
        inside = QWidget()
        sections = QVBoxLayout(inside)
        sections.setContentsMargins(0, 0, _BAR_GAP, 0)
        sections.setSpacing(0)
        sections.addWidget(self._record)
        sections.addWidget(self._compared)
        sections.addStretch(1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addLayout(verdict)
        lines.addWidget(self.empty)
        lines.addWidget(_scrolled(inside), 1)
        lines.addSpacing(_GAP)
        lines.addWidget(self._again_head)
        lines.addWidget(self.again)
        lines.addSpacing(_GAP)
        lines.addLayout(self._foot)
        lines.addWidget(self._buttons)


def _mask_facts(masks: Sequence[MaskLine]) -> list[Fact]:
    facts = []
    for line in masks:
        value, _, unit = line.margin.partition(" ")
        place = f"{unit} at {line.at}" if line.at else unit
        facts.append(
            Fact(name=line.called, value=value, unit=place, mark=line.mark, note=line.reason)
        )
    return facts


def _section_stack(*sections: tuple[SectionHead, QWidget]) -> QWidget:
    stack = QWidget()
    lines = QVBoxLayout(stack)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.setSpacing(0)
    for head, body in sections:
        lines.addWidget(head)
        lines.addWidget(body)
        lines.addSpacing(_GAP)
    return stack


def _scrolled(inside: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(inside)
    area.viewport().setAutoFillBackground(False)
    inside.setAutoFillBackground(False)
    return area
