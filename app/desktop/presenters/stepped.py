"""A typed number moved by the arrow keys, with the decimals that it had."""

from decimal import Decimal, InvalidOperation

from app.desktop.presenters.figures import minus

_PLAIN = str.maketrans({"−": "-", ",": ".", " ": None, "\N{NO-BREAK SPACE}": None})


def stepped_text(text: str, *, step: float, steps: int) -> str | None:
    """Return a typed number ``steps`` times ``step`` away, with as many decimals as either had.

    None where the text is no number.
    """
    try:
        typed = Decimal(text.translate(_PLAIN))
    except InvalidOperation:
        return None
    if not typed.is_finite():
        return None
    moved = typed + Decimal(repr(step)).normalize() * steps
    if text.lstrip().startswith("+") and moved > 0:
        return f"+{moved:f}"
    return minus(f"{moved:f}")
