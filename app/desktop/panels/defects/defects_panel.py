"""The left column of the defects: tones, impulses, and how to hear what is left."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.field_column import FieldColumn
from app.desktop.presenters.defects_facts import ImpulseRow, ToneRow
from app.desktop.presenters.hear_words import PACES
from app.measure.auralise import CAUTION

_GAP, _TIGHT = 8, 4
_TONES = (
    Column(title="Tone"),
    Column(title="repeats", width=62, align="right"),
    Column(title="random", width=62, align="right"),
    Column(title="clicks", width=50, align="right"),
)
_IMPULSES = (
    Column(title="s"),
    Column(title="dB", width=50, align="right"),
    Column(title="played", width=80, align="right", quiet=True),
)
_ROW, _MOST_IMPULSES, _FEWEST_IMPULSES = 26, 4, 2


class DefectsPanel(FieldColumn):
    """What a person chooses from, and what is chosen; a low window sees fewer impulses at once.

    ``tone_chosen``, ``impulse_chosen`` (key), ``picture_chosen``, ``card_chosen``, ``pace_chosen``
    (key) and ``typed`` (``channel`` or ``peak_dbfs``, text).
    """

    tone_chosen = Signal(str)
    impulse_chosen = Signal(str)
    picture_chosen = Signal(str)
    card_chosen = Signal(str)
    pace_chosen = Signal(str)
    typed = Signal(str, str)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._tones_head = SectionHead("Tones", "dB re fundamental, peaks")
        self.tones = _table(_TONES, "Tones")
        self.tones.chosen.connect(self.tone_chosen)
        self.none = Prose()
        self._impulses_head = SectionHead("Impulses")
        self.impulses = _table(_IMPULSES, "Impulses")
        self.impulses.chosen.connect(self.impulse_chosen)
        self.picture = Choice("Picture of")
        self.picture.chosen.connect(self.picture_chosen)
        self._picture_row = FieldRow("Picture of", self.picture)
        self.card = Choice("Card to hear it on")
        self.card.chosen.connect(self.card_chosen)
        self.pace = Choice("Pace", PACES)
        self.pace.chosen.connect(self.pace_chosen)
        self.fields = {
            "channel": Field("Output to hear it on", step=1),
            "peak_dbfs": Field("Peak", unit="dB re full scale", step=1),
        }
        for key, field in self.fields.items():
            field.committed.connect(partial(self.typed.emit, key))
        self._lay_out(actions)

    def set_tones(self, rows: Sequence[ToneRow], *, chosen: int | None, sentence: str) -> None:
        """Show other tones; without any, why."""
        self.tones.set_rows(
            [
                LineRow(cells=(one.name, one.repeats, one.random, one.clicks), key=one.key)
                for one in rows
            ]
        )
        self.tones.choose(None if chosen is None else str(chosen))
        self.tones.setVisible(bool(rows))
        self.tones.setFixedHeight(self.tones.sizeHint().height())
        self.none.set_text(sentence)
        self.none.setVisible(bool(sentence))

    def set_impulses(self, rows: Sequence[ImpulseRow]) -> None:
        """Show other impulses; no table where there is none."""
        self.impulses.set_rows(
            [
                LineRow(
                    cells=(one.time, one.level, one.played),
                    key=one.key,
                    note="" if one.is_short else "it rings: not counted against the unit",
                )
                for one in rows
            ]
        )
        short = sum(one.is_short for one in rows)
        clicks = "1 click" if short == 1 else f"{short} clicks"
        self._impulses_head.set_fact(clicks + (f" of {len(rows)}" if short < len(rows) else ""))
        for part in (self._impulses_head, self.impulses):
            part.setVisible(bool(rows))
        self.fit()

    def fit(self) -> None:
        """Show as many impulses at once as there is room for."""
        count = len(self.impulses.rows)
        for most in range(_MOST_IMPULSES, _FEWEST_IMPULSES - 1, -1):
            self.impulses.setFixedHeight(_ROW * (1 + min(count, most)) + 2)
            if self.wanted() <= self.height():
                break
        super().fit()

    def set_pictures(self, options: Sequence[tuple[str, str]], *, chosen: str) -> None:
        """Offer other pictures; no choice where there is none."""
        self.picture.set_options(options)
        self.picture.set_key(chosen)
        self._picture_row.setVisible(len(options) > 1)

    def _lay_out(self, actions: Actions) -> None:
        lines = self.lines
        for part in (self._tones_head, self.tones, self.none, self._picture_row):
            lines.addWidget(part)
        lines.addSpacing(_TIGHT)
        for part in (self._impulses_head, self.impulses):
            lines.addWidget(part)
        lines.addSpacing(_TIGHT)
        lines.addWidget(SectionHead("Hear it"))
        lines.addWidget(Prose(CAUTION))
        lines.addSpacing(_TIGHT)
        for row in (
            FieldRow("Card", self.card),
            FieldRow("Output", self.fields["channel"]),
            FieldRow("Peak", self.fields["peak_dbfs"]),
            FieldRow("Pace", self.pace),
        ):
            lines.addWidget(row)
        lines.addSpacing(_TIGHT)
        buttons = QHBoxLayout()
        buttons.setSpacing(_GAP)
        buttons.addWidget(KeyButton(actions.of("hear_residual"), text="Hear"))
        buttons.addWidget(KeyButton(actions.of("write_residual"), text="Write…"))
        buttons.addStretch(1)
        lines.addLayout(buttons)
        lines.addStretch(1)


def _table(columns: Sequence[Column], name: str) -> LinesTable:
    made = LinesTable(columns, name=name)
    made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    return made
