"""The words under which a name is found: it, and what is left of it from each of its parts on."""

import re

_PART = re.compile(r"[^\W_]+")
# Comes after every character that a word may go on with, in the order of code points.
_LAST = "\U0010ffff"


def words_of(name: str) -> frozenset[str]:
    """Return a name's words, in lower case.

    ``T4-W31-0417`` is found under ``t4-w31-0417``, ``w31-0417`` and ``0417``.
    """
    folded = name.casefold()
    return frozenset({folded, *(folded[part.start() :] for part in _PART.finditer(folded))})


def begins(name: str, *, with_: str) -> bool:
    """Tell whether a word of a name begins with what was typed, in any case."""
    typed = with_.casefold()
    return any(word.startswith(typed) for word in words_of(name))


def after(typed: str) -> str:
    """Return what comes after every word that begins with ``typed``."""
    return typed + _LAST
