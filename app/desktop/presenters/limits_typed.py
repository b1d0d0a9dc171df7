"""A figure of a mask as a person types it."""

from app.procedure.edit_masks import EditRefusedError
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number


def typed_figure(text: str, *, key: str, unit: str = "") -> float:
    """Read a figure: a decimal comma, thousands, k and the unit behind it are understood.

    Parameters
    ----------
    text : str
        As typed.
    key : str
        Which figure, as in EditRefusedError.
    unit : str
        May stand behind it.

    Raises
    ------
    EditRefusedError
        Not a number, or one that may mean two things.
    """
    try:
        return typed_number(text, key=key, unit=unit)
    except ValueRefusedError as error:
        raise EditRefusedError(key, error.sentence) from error
