"""Findings as one line that a person reads."""

import math


def minus(number: str) -> str:
    """Write a number with a true minus.

    Parameters
    ----------
    number : str
        As formatted.

    Returns
    -------
    str
    """
    return number.replace("-", "\N{MINUS SIGN}")


def small(value: float, *, least: float) -> str:
    """Write a size that may be as good as nothing.

    Parameters
    ----------
    value : float
        Not negative, any unit.
    least : float
        Below this nobody asks how much it is.

    Returns
    -------
    str
    """
    return f"below {least:g}" if value < least else f"{value:.3g}"


def beside(value: float, *, scale: float) -> str:
    """Write a value to the place of the second digit of what it is held against.

    Parameters
    ----------
    value : float
        Any unit.
    scale : float
        Same unit, above 0.

    Returns
    -------
    str, with a true minus.
    """
    places = max(0, 1 - math.floor(math.log10(scale))) if 0 < scale < math.inf else 3
    return minus(f"{round(value, places) + 0.0:.{places}f}")  # no minus before a zero


def found(what: str, *, passed: bool, otherwise: str) -> str:
    """Say what was found, and what that means only where it did not pass.

    Parameters
    ----------
    what : str
        What was found, and what is allowed.
    passed : bool
        Whether it is as it should be.
    otherwise : str
        Cause or next step where it is not.

    Returns
    -------
    str
    """
    return what if passed else f"{what}: {otherwise}"
