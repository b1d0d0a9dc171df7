"""How wide text is in print, and text parted into lines that fit."""

from functools import lru_cache

_FACE = "DejaVu Sans"
_AT_POINTS = 100.0
_SUBPIXELS = 65_536.0  # of FreeType's linear advance, 16.16
_BOLD_WIDER = 1.13


def width_points(text: str, *, points: float, bold: bool = False) -> float:
    """Return the width of a text in points, without kerning."""
    wide = sum(map(_advance, text)) * points / _AT_POINTS
    return wide * _BOLD_WIDER if bold else wide


def lines_within(text: str, *, width: float, points: float) -> list[str]:
    """Part a text into lines no wider than ``width`` points; a longer word is cut.

    Returns
    -------
    list of str; empty for an empty text.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if width_points(longer, points=points) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _cut(word, width=width, points=points)
        lines += whole
    return [*lines, line] if line else lines


def _cut(word: str, *, width: float, points: float) -> list[str]:
    parts = [""]
    for letter in word:
        if parts[-1] and width_points(parts[-1] + letter, points=points) > width:
            parts.append("")
        parts[-1] += letter
    return parts


@lru_cache(maxsize=512)
def _advance(letter: str) -> float:
    from matplotlib.font_manager import findfont
    from matplotlib.ft2font import FT2Font

    font = FT2Font(findfont(_FACE))
    font.set_size(_AT_POINTS, 72)
    return float(font.load_char(ord(letter)).linearHoriAdvance) / _SUBPIXELS
