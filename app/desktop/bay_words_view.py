"""What happened and what comes next, painted; in a narrow window on three smaller lines."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.bay_words import BayWords

_BASELINES, _PX = (24, 43), 13
_TIGHT_BASELINES, _TIGHT_PX = (16, 31, 46), 12
_MARK = 14.0
_LEFT, _AFTER_MARK, _RIGHT = 17, 38, 16


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLine:
    """One line: its words, its baseline and size, px."""

    text: str
    baseline: int
    px: int
    bold: bool


class BayWordsView(QWidget):
    """A hairline, a mark, what happened in bold, and what comes next."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = BayWords(happened="", next="")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def set_words(self, words: BayWords) -> None:
        """Say something else; a reader for the blind hears it, too."""
        self._words = words
        self.setAccessibleName(f"{words.happened} {self._next()}".strip())
        self.setToolTip("\n".join(filter(None, (words.happened, self._next()))))
        self.update()

    def placed(self) -> tuple[PlacedLine, ...]:
        """Return the lines as they are painted at this width."""
        left = _LEFT if self._words.mark is None else _AFTER_MARK
        return place_lines(self._words.happened, self._next(), room=self.width() - left - _RIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint hairline, mark and lines."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(QRectF(0, 13, 1, self.height() - 21), QColor(tokens.hair))
        left, lines = _LEFT, self.placed()
        if self._words.mark is not None:
            left = _AFTER_MARK
            top = lines[0].baseline - _MARK + 2.5
            box = QRectF(_LEFT, top, _MARK, _MARK)
            glyphs.paint(painter, self._words.mark, box, tokens=tokens)
        for line in lines:
            painter.setFont(font(line.px, bold=line.bold))
            painter.setPen(QColor(tokens.ink if line.bold else tokens.ink2))
            painter.drawText(left, line.baseline, line.text)

    def _next(self) -> str:
        return f"Next: {self._words.next}" if self._words.next else ""


def place_lines(happened: str, next_: str, *, room: float) -> tuple[PlacedLine, ...]:
    """Place both sentences in a width, px: on a line each, or wrapped onto three in all.

    What does not fit even then is cut in the last line of its sentence.
    """
    sentences = ((happened, True), (next_, False))
    if all(_width(text, px=_PX, bold=bold) <= room for text, bold in sentences):
        return tuple(
            PlacedLine(text=text, baseline=baseline, px=_PX, bold=bold)
            for (text, bold), baseline in zip(sentences, _BASELINES, strict=True)
        )
    most = len(_TIGHT_BASELINES)
    spare = most - min(most - 1, len(_wrapped(next_, bold=False, room=room)))
    told = _cut(_wrapped(happened, bold=True, room=room), most=spare, bold=True, room=room)
    follows = _cut(
        _wrapped(next_, bold=False, room=room), most=most - len(told), bold=False, room=room
    )
    texts = [(text, True) for text in told] + [(text, False) for text in follows]
    baselines = _TIGHT_BASELINES if len(texts) == most else _BASELINES
    return tuple(
        PlacedLine(text=text, baseline=baseline, px=_TIGHT_PX, bold=bold)
        for (text, bold), baseline in zip(texts, baselines, strict=False)
    )


def _wrapped(text: str, *, bold: bool, room: float) -> list[str]:
    """Break a sentence between its words."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and _width(longer, px=_TIGHT_PX, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _cut(lines: list[str], *, most: int, bold: bool, room: float) -> list[str]:
    if len(lines) <= most:
        return lines
    measure = QFontMetricsF(font(_TIGHT_PX, bold=bold))
    rest = " ".join(lines[most - 1 :])
    return [*lines[: most - 1], measure.elidedText(rest, Qt.TextElideMode.ElideRight, room)]


def _width(text: str, *, px: float, bold: bool) -> float:
    return QFontMetricsF(font(px, bold=bold)).horizontalAdvance(text)
