"""Where each key of a TOML text stands: readers of TOML drop the lines, people need them."""

import re
import tomllib
from bisect import bisect_right
from collections.abc import Callable, Mapping
from itertools import accumulate

Place = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
# Longest opening first: three quotes begin a text of several lines.
_TEXTS = (
    re.compile(r'"""(?:[^\\]|\\[\s\S])*?"{3,5}'),
    re.compile(r"'''[\s\S]*?'{3,5}"),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)
_PLAIN = re.compile(r"[^,\]}#\n]*")


def key_lines(text: str) -> Mapping[Place, int]:
    r"""Find the line of every key, table and array element.

    Parameters
    ----------
    text : str
        TOML that ``tomllib`` accepts, lines ended by ``\n``.

    Returns
    -------
    mapping from path, for example ``("excitation", "zones", 1, "to_hz")``, elements counted from
    0, to line, counted from 1. A table has the line of its own header, or of the first key that
    implies it; the empty path is the file, line 1.
    """
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self._text, self._at = text, 0
        self._ends = list(accumulate(len(line) + 1 for line in text.split("\n")))
        self._lines: dict[Place, int] = {(): 1}
        self._headed: set[Place] = set()
        self._table_counts: dict[Place, int] = {}

    def scan(self) -> dict[Place, int]:
        table: Place = ()
        while self._skip(_BLANK) < len(self._text):
            if self._text[self._at] == "[":
                table = self._header()
            else:
                self._pair(table)
        return self._lines

    def _line(self) -> int:
        return bisect_right(self._ends, self._at) + 1

    def _skip(self, pattern: re.Pattern[str]) -> int:
        if found := pattern.match(self._text, self._at):
            self._at = found.end()
        return self._at

    def _note(self, place: Place, line: int) -> None:
        for end in range(1, len(place) + 1):
            self._lines.setdefault(place[:end], line)

    def _header(self) -> Place:
        line, array = self._line(), self._text.startswith("[[", self._at)
        self._at += 2 if array else 1
        *parents, last = self._key()
        self._at += 2 if array else 1
        place: Place = ()
        for part in parents:
            place = self._newest((*place, part))
        place = (*place, last)
        if array:
            self._note(place, line)
            self._table_counts[place] = self._table_counts.get(place, 0) + 1
            place = self._newest(place)
        self._note(place, line)
        if place not in self._headed:
            # A header says more than a deeper one that came first and merely implied this table.
            self._headed.add(place)
            self._lines[place] = line
        return place

    def _newest(self, place: Place) -> Place:
        count = self._table_counts.get(place)
        return place if count is None else (*place, count - 1)

    def _pair(self, table: Place) -> None:
        line = self._line()
        place = (*table, *self._key())
        self._note(place, line)
        self._at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(place)

    def _key(self) -> list[str]:
        parts = []
        while True:
            self._skip(_SPACE)
            start = self._at
            if self._text[start] in "\"'":
                self._text_value()
                quoted = self._text[start : self._at]
                parts.append(str(tomllib.loads(f"key = {quoted}")["key"]))
            else:
                self._skip(_BARE)
                parts.append(self._text[start : self._at])
            self._skip(_SPACE)
            if self._text[self._at] != ".":
                return parts
            self._at += 1

    def _value(self, place: Place) -> None:
        match self._text[self._at]:
            case "[":
                self._elements(place, self._element, "]")
            case "{":
                self._elements(place, self._member, "}")
            case '"' | "'":
                self._text_value()
            case _:
                self._skip(_PLAIN)

    def _elements(self, place: Place, one: Callable[[Place, int], None], end: str) -> None:
        self._at += 1
        count = 0
        while self._text[self._skip(_BLANK)] != end:
            one(place, count)
            count += 1
            if self._text[self._skip(_BLANK)] == ",":
                self._at += 1
        self._at += 1

    def _element(self, place: Place, number: int) -> None:
        self._note((*place, number), self._line())
        self._value((*place, number))

    def _member(self, place: Place, _number: int) -> None:
        self._pair(place)

    def _text_value(self) -> None:
        for pattern in _TEXTS:
            before = self._at
            if self._skip(pattern) != before:
                return
