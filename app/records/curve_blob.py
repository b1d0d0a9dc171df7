"""A curve's points as compact bytes, lossless.

Byte 0 is the version of the layout. What follows is little-endian: the two ends of the valid range
in Hz, then a deflated body. In it the float64 values, and the uncertainties where there are any,
lie byte by byte (all first bytes, then all second ones), because neighbours share sign, exponent
and leading digits; at its end one bit a point tells where the value is only a bound.
"""

import struct
import zlib
from dataclasses import dataclass

import numpy as np

from dsp import Bools, Curve, Floats

_HEAD = struct.Struct("<BBIdd")
_VERSION, _HAS_UNCERTAINTY, _HAS_BOUND = 1, 1, 2
_EFFORT = 1  # of deflate: the last digits are noise, more effort finds nothing in them


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Points:
    """What ``pack_points`` keeps of a curve; see Curve for the meanings."""

    value: Floats
    uncertainty: Floats | None
    is_bound: Bools | None
    low_hz: float
    high_hz: float


def pack_points(curve: Curve) -> bytes:
    """Return values, uncertainties, bounds and valid range of ``curve`` as bytes."""
    flags, body = 0, _shuffled(curve.value)
    if curve.uncertainty is not None:
        flags |= _HAS_UNCERTAINTY
        body += _shuffled(curve.uncertainty)
    if curve.is_bound is not None:
        flags |= _HAS_BOUND
        body += np.packbits(curve.is_bound.astype(np.bool_)).tobytes()
    valid = curve.valid
    head = _HEAD.pack(_VERSION, flags, curve.value.size, valid.low_hz, valid.high_hz)
    return head + zlib.compress(body, _EFFORT)


def unpack_points(packed: bytes) -> Points:
    """Return what ``pack_points`` was given."""
    _, flags, size, low_hz, high_hz = _HEAD.unpack_from(packed)
    body = zlib.decompress(packed[_HEAD.size :])
    value, rest = _unshuffled(body[: 8 * size]), body[8 * size :]
    uncertainty = is_bound = None
    if flags & _HAS_UNCERTAINTY:
        uncertainty, rest = _unshuffled(rest[: 8 * size]), rest[8 * size :]
    if flags & _HAS_BOUND:
        bits = np.unpackbits(np.frombuffer(rest, dtype=np.uint8), count=size)
        is_bound = bits.astype(np.bool_)
    return Points(
        value=value, uncertainty=uncertainty, is_bound=is_bound, low_hz=low_hz, high_hz=high_hz
    )


def pack_axis(frequency_hz: Floats) -> bytes:
    """Return frequencies as bytes."""
    return zlib.compress(_shuffled(frequency_hz), _EFFORT)


def unpack_axis(packed: bytes) -> Floats:
    """Return what ``pack_axis`` was given."""
    return _unshuffled(zlib.decompress(packed))


def _shuffled(values: Floats) -> bytes:
    return values.astype("<f8").view(np.uint8).reshape(-1, 8).T.tobytes()


def _unshuffled(packed: bytes) -> Floats:
    rows = np.frombuffer(packed, dtype=np.uint8).reshape(8, -1)
    values: Floats = np.ascontiguousarray(rows.T).view("<f8").ravel().astype(np.float64)
    return values
