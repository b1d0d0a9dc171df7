"""Numbers as a person types them: with a comma, spaces or a true minus, and stepped."""

import math
from decimal import Decimal, InvalidOperation

from app.desktop.presenters.figures import minus

_PLAIN = str.maketrans({"−": "-", ",": ".", " ": None, "\N{NO-BREAK SPACE}": None, "\t": None})


def typed_number(text: str) -> float | None:
    """Return the number that a text means, or None."""
    exact = _exact(text)
    return None if exact is None else float(exact)


def stepped_text(text: str, *, step: float, steps: int) -> str | None:
    """Return a typed number ``steps`` times ``step`` away, with as many decimals as either had."""
    exact = _exact(text)
    if exact is None:
        return None
    moved = exact + Decimal(repr(step)).normalize() * steps
    if text.lstrip().startswith("+") and moved > 0:
        return f"+{moved:f}"
    return minus(f"{moved:f}")


def _exact(text: str) -> Decimal | None:
    try:
        found = Decimal(text.translate(_PLAIN))
    except InvalidOperation:
        return None
    return found if math.isfinite(found) else None
