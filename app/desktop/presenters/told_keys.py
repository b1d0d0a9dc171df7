"""Sentences that name our keys, told with the keys that a person has set."""

import re
from collections.abc import Mapping
from dataclasses import replace

from app.desktop.presenters.bay_words import BayWords


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
    # All at once: two keys may have changed places.
    pattern = re.compile("|".join(_named(ours) for ours in keys))

    def told(sentence: str) -> str:
        return pattern.sub(lambda found: keys[found.group()], sentence)

    return replace(words, happened=told(words.happened), next=told(words.next))


def _named(key: str) -> str:
    """Return a pattern for a key's name; a letter alone is one only where it is pressed."""
    name = re.escape(key)
    if len(key) > 1:
        return rf"\b{name}\b"
    return rf"(?<=[Pp]ress ){name}\b|\b{name}(?= to | makes )"
