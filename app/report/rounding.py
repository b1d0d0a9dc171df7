"""How many decimals a figure deserves, and how a bound is written."""

import math

_MOST = 9  # decimals: what is smaller than that is written as nothing


def decimals(scale: float, *, digits: int) -> int:
    """Return how many decimals so many significant digits of ``scale`` take.

    Parameters
    ----------
    scale : float
        Above 0; an interval, as a rule.
    digits : int
        Significant digits of it to be shown.

    Returns
    -------
    int; below 0 where even tens would say too much.
    """
    return digits - 1 - math.floor(math.log10(scale))


def bound_text(value: float, *, unit: str, places: int | None = None) -> str:
    """Write what a figure is at most: rounded upwards, for less would not be true.

    Parameters
    ----------
    value : float
        The bound; a dash stands for one that is not known.
    unit : str
        Its unit: levels in dB have one decimal at most, no chain is known better.
    places : int or None
        Decimals; None: three digits.

    Returns
    -------
    str, such as ``≤ −33.0``.
    """
    if not math.isfinite(value):
        return "—"
    if places is None:
        most = 1 if unit.startswith("dB") else _MOST
        places = min(max(0, decimals(abs(value), digits=3)), most) if value else 0
    upwards = math.ceil(round(value * 10**places, 6)) / 10**places + 0.0  # no minus before a zero
    return f"≤ {upwards:.{places}f}".replace("-", "\N{MINUS SIGN}")
