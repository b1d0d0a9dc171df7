"""Numbers as they are told in sentences."""


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
