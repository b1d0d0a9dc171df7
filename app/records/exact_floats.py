"""Floats that a database column cannot hold, kept beside it to the last bit.

SQLite turns NaN into NULL, which stands for None already, and writes −0.0 as 0.0.
"""

import math
import struct
from typing import Any

_ONE = struct.Struct("<?d")


def pack_exact(*values: float | None) -> bytes | None:
    """Return the values as bytes, or None where ordinary columns hold them all."""
    if all(value is None or _is_ordinary(value) for value in values):
        return None
    return b"".join(
        _ONE.pack(value is not None, 0.0 if value is None else value) for value in values
    )


def unpack_exact(packed: bytes) -> tuple[Any, ...]:
    """Return the values in the order in which they were packed, each a float, or None if it was."""
    return tuple(value if known else None for known, value in _ONE.iter_unpack(packed))


def column_value(value: float | None) -> float | None:
    """Return what goes into the column itself: NULL for NaN, so that averages leave it out."""
    return None if value is None or math.isnan(value) else float(value)


def _is_ordinary(value: float) -> bool:
    return not math.isnan(value) and not (value == 0 and math.copysign(1, value) < 0)
