"""Sentences that name our keys, told with the keys that a person has set."""

import re
from collections.abc import Mapping
from dataclasses import replace

from app.desktop.presenters.bay_words import BayWords

# What a sentence has a key do: "B leads back", "which A approves"; else a letter may be an article.
_ACTS = "to|makes|leads|plays|writes|approves|derives|shows|takes|opens|keeps"


def with_own_keys(words: BayWords, keys: Mapping[str, str]) -> BayWords:
    """Return what a bay says with a person's own keys.

    Parameters
    ----------
    words : BayWords
        Naming our keys as on their caps: ``press D``, ``Chain (Ctrl 1)``.
    keys : mapping of str to str
        From our key in this bay to the person's own; all that were changed.
    """
    if not keys:
        return words
    return replace(
        words,
        happened=in_own_keys(words.happened, keys),
        next=in_own_keys(words.next, keys),
    )


def in_own_keys(sentence: str, keys: Mapping[str, str]) -> str:
    """Return a sentence with a person's own keys; see ``with_own_keys``."""
    # All at once: two keys may have changed places.
    pattern = "|".join(_named(ours) for ours in keys)
    return re.sub(pattern, lambda found: keys[found.group()], sentence) if keys else sentence


def _named(key: str) -> str:
    """Return a pattern for a key's name; a letter alone is one only where it is pressed or acts."""
    name = re.escape(key)
    if len(key) > 1:
        return rf"\b{name}\b"
    return rf"(?<=[Pp]ress ){name}\b|(?<=\(){name}(?=\))|\b{name}(?= (?:{_ACTS})\b)"
