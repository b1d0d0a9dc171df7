"""Values of a mask as they stand in a TOML file: points in lines of a width that people read."""

from typing import Any

import tomlkit
from tomlkit.items import Array, Item, Table

from app.procedure.mask_schema import Limit, Mask

_WIDTH = 100  # of a line with points


def mask_table(mask: Mask) -> Table:
    """Return a mask as a table that reads back as it; what is at its default is left out."""
    table = tomlkit.table()
    for key, field in Mask.model_fields.items():
        value = getattr(mask, key)
        if value != field.default:
            table.add(key, item(value))
    return table


def item(value: Limit | str | float | tuple[float, float]) -> Item:
    """Return a value of a mask: every float so that it reads back to the last bit."""
    if isinstance(value, tuple):
        return _array([_text(one) for one in value])
    return tomlkit.item(value)


def _text(value: Any) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(_text(one) for one in value) + "]"
    return repr(float(value))


def _array(texts: list[str]) -> Array:
    one_line = "[" + ", ".join(texts) + "]"
    if len(one_line) <= _WIDTH - len("upper = "):
        return tomlkit.array(one_line)
    lines, line = [], "   "
    for text in texts:
        if len(line) + len(text) + 2 > _WIDTH:
            lines.append(line)
            line = "   "
        line += f" {text},"
    return tomlkit.array("[\n" + "\n".join([*lines, line]) + "\n]")
