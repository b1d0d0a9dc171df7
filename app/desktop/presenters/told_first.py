"""What is told over a bay's own words, until something else is done."""

from collections.abc import Callable
from dataclasses import replace

from app.desktop.presenters.bay_words import BayWords

ToldFirst = Callable[[BayWords], BayWords]


def before(sentence: str) -> ToldFirst:
    """Tell a sentence before what the bay says happened."""
    return lambda words: replace(words, happened=f"{sentence} {words.happened}".strip())


def instead(told: BayWords) -> ToldFirst:
    """Tell other sentences than the bay does; its button and its progress stay."""
    return lambda words: replace(words, happened=told.happened, next=told.next, mark=told.mark)
