"""What a person types into a field, as the value that a file would hold."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

from hardware.errors import ValueRefusedError
from hardware.toml_allowed import Schema, allowed

_SPACES = re.compile(r"[\s\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}]+")
_NUMBER = re.compile(r"(?P<number>[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)(?P<kilo>k?)", re.I)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(,\d{3})+")


def typed_number(text: str, *, key: str, unit: str = "", scale: str = "1") -> float:
    """Read a number as people write it: a decimal comma, spaces in thousands, k, its unit.

    Parameters
    ----------
    text : str
        As typed, for example ``2,83 V``, ``20 000`` or ``20k``.
    key : str
        Of what, for the message.
    unit : str
        May stand behind the number.
    scale : str
        What one of it counts in the file, for example ``0.001`` for a field in mV.

    Returns
    -------
    float

    Raises
    ------
    ValueRefusedError
        Not a number, or one that may mean two things.
    """
    plain = _SPACES.sub("", text).replace("\N{MINUS SIGN}", "-")
    plain = plain.removesuffix(_SPACES.sub("", unit)) if unit else plain
    if _THOUSANDS.fullmatch(plain):
        meant = plain.replace(",", "", 1), plain.replace(",", ".", 1)
        raise ValueRefusedError(key, "may mean two", given=text.strip(), allowed=" or ".join(meant))
    found = _NUMBER.fullmatch(plain.replace(",", "."))
    if found is None:
        raise ValueRefusedError(key, "not a number", given=text.strip() or "nothing")
    kilo = Decimal(1000 if found["kilo"] else 1)
    return float(Decimal(found["number"]) * kilo * Decimal(scale))


def typed_value(text: str, *, key: str, node: Schema, unit: str = "", scale: str = "1") -> Any:
    """Read what is typed for one key of a file.

    Parameters
    ----------
    text : str
        As typed; nothing leaves the key out.
    key : str
        Dotted, for the message.
    node : mapping
        What the schema says about it, resolved.
    unit, scale : str
        As for ``typed_number``.

    Returns
    -------
    The value; None where nothing is typed.

    Raises
    ------
    ValueRefusedError
        Not of the kind that the key holds.
    """
    plain = text.strip()
    if not plain:
        return None
    match node.get("type"):
        case "number":
            return typed_number(plain, key=key, unit=unit, scale=scale)
        case "integer":
            number = typed_number(plain, key=key, unit=unit, scale=scale)
            if number != round(number):
                raise ValueRefusedError(key, "not a whole number", given=plain)
            return round(number)
        case _ if node.get("format") == "date":
            return _day(plain, key=key, node=node)
        case _:
            return plain


def _day(text: str, *, key: str, node: Schema) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise ValueRefusedError(
            key, "not a date", given=text, allowed=allowed(node, root=node)
        ) from error
