"""The words under which a name is found: its parts, each with all that follow it."""

import re

_PART = re.compile(r"[^\W_]+")
# Comes after every character that a word may go on with, in the order of code points.
_LAST = "\U0010ffff"


def plain(name: str) -> str:
    """Return the parts of a name in lower case, a space before each: `` t4 w31 0417``."""
    return "".join(f" {part}" for part in _PART.findall(name.casefold()))


def words_of(name: str) -> frozenset[str]:
    """Return what a name can begin with for a person who knows only the end of it.

    ``T4-W31-0417`` is found under `` t4 w31 0417``, `` w31 0417`` and `` 0417``.
    """
    whole = plain(name)
    return frozenset(whole[at:] for at, letter in enumerate(whole) if letter == " ")


def begins(name: str, *, typed: str) -> bool:
    """Tell whether parts of a name, one after another, begin with what was typed, in any case."""
    return plain(typed) in plain(name)


def after(word: str) -> str:
    """Return what comes after every word that begins with ``word``."""
    return word + _LAST
