"""How a sentence begins."""


def capital(sentence: str) -> str:
    """Begin with a capital, and leave the rest as it is."""
    return sentence[:1].upper() + sentence[1:]
