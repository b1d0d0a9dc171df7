"""The right column: verdict, masks, numbers, warnings, and what can be done with them."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.verdict_head import VerdictHead
from app.desktop.panels.measure.headed import Headed
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.presenters.measure_numbers import NumbersState
from app.desktop.presenters.measure_verdict import MaskLine, VerdictState
from app.desktop.presenters.measure_warnings import WarningsState

_GAP = 8
_COLUMNS = (
    Column(title="Mask"),
    Column(title="margin", width=80, align="right"),
    Column(title="Hz", width=60, align="right", quiet=True),
)


class Result(QWidget):
    """What follows from the take that is shown."""

    mask_chosen = Signal(str)  # name of the mask; its frequency is in the state

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._masks: tuple[MaskLine, ...] = ()
        self.verdict = VerdictHead()
        self.mask_table = LinesTable(_COLUMNS, name="Masks")
        self.mask_table.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.mask_table.chosen.connect(self.mask_chosen)
        self._numbers_head = SectionHead("Numbers")
        self.numbers = FactsTable("Numbers")
        self.warnings = Sentences()
        self.defects = KeyButton(actions.of("defects"), text="Defects")
        self.defects.hide()
        self._warnings_head = Headed("Warnings", self.defects)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self.verdict)
        self.column = self._scrolled()
        self.merge = KeyButton(actions.of("merge"))
        self.merge.hide()
        lines.addWidget(self.column, 1)
        lines.addSpacing(_GAP)
        foot = QVBoxLayout()
        foot.setSpacing(_GAP)
        foot.addWidget(self.merge)
        foot.addLayout(_buttons(actions))
        lines.addLayout(foot)

    @property
    def masks(self) -> tuple[MaskLine, ...]:
        """What the table of masks shows."""
        return self._masks

    def set_verdict(self, state: VerdictState) -> None:
        """Show another verdict."""
        self.verdict.set_verdict(state.mark, state.word, state.detail)
        self._masks = state.masks
        self.mask_table.set_rows([_row(line) for line in state.masks])
        self.mask_table.setVisible(bool(state.masks))
        self.mask_table.setFixedHeight(self.mask_table.sizeHint().height())

    def set_numbers(self, state: NumbersState) -> None:
        """Show other numbers."""
        self._numbers_head.set_fact(state.told)
        self.numbers.set_facts(state.facts)
        self.numbers.set_stale(stale=state.old)

    def offer_merge(self, *, offered: bool) -> None:
        """Show the button that merges near and far field, or not."""
        self.merge.setVisible(offered)

    def set_warnings(self, state: WarningsState) -> None:
        """Show other warnings."""
        # A button stands where the fact does.
        told = f"Warnings: {state.told}" if state.has_residual and state.told else "Warnings"
        self._warnings_head.head.set_title(told)
        self._warnings_head.head.set_fact("" if state.has_residual else state.told)
        self.warnings.say(state.said)
        self.defects.setVisible(state.has_residual)

    def _scrolled(self) -> PanelColumn:
        column = PanelColumn()
        lines = column.lines
        lines.addWidget(self.mask_table)
        lines.addSpacing(8)
        lines.addWidget(self._numbers_head)
        lines.addWidget(self.numbers)
        lines.addSpacing(8)
        lines.addWidget(self._warnings_head)
        lines.addWidget(self.warnings)
        lines.addStretch(1)
        return column


def _row(line: MaskLine) -> LineRow:
    return LineRow(
        cells=(line.called, line.margin, line.at_short),
        key=line.mask,
        mark=line.mark,
        note=line.reason,
    )


def _buttons(actions: Actions) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(8)
    for action_id in ("copy", "export"):
        line.addWidget(KeyButton(actions.of(action_id)))
    line.addStretch(1)
    return line
