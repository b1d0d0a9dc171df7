"""A curve's points as compact bytes, lossless.

Byte 0 is the version of the layout. What follows is little-endian: flags, the number of points, the
two ends of the valid range in Hz, then the body. In it the float64 values, and the uncertainties
where there are any, lie byte by byte (all first bytes, then all second ones), because neighbours
share sign, exponent and leading digits; at its end one bit a point tells where the value is only a
bound. Of that, the five lowest bytes of each number are mostly noise in which deflate finds nothing
and takes long over it: where that is so they come first, as they are, of the values, then of the
uncertainties. The rest is deflated. Version 1 deflated all.
"""

import os
import struct
import zlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dsp import Bools, Curve, Floats, Ints

_HEAD = struct.Struct("<BBIdd")
_VERSION = 2
_HAS_UNCERTAINTY, _HAS_BOUND, _PLAIN_VALUE, _PLAIN_UNCERTAINTY = 1, 2, 4, 8
_LOW = 5  # of the eight bytes of a number
_WORTH = 0.9  # of its size, deflated: above it bytes are left as they are
_HEADS = np.dtype(
    [("version", "u1"), ("flags", "u1"), ("size", "<u4"), ("low", "<f8"), ("high", "<f8")]
)
_AT_ONCE = 256  # curves, so that what is turned round stays in the processor
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
    low, deflated, is_plain = _parted(_shuffled(curve.value))
    flags = _PLAIN_VALUE if is_plain else 0
    if curve.uncertainty is not None:
        more, rest, is_plain = _parted(_shuffled(curve.uncertainty))
        low, deflated = low + more, deflated + rest
        flags |= _HAS_UNCERTAINTY | (_PLAIN_UNCERTAINTY if is_plain else 0)
    if curve.is_bound is not None:
        flags |= _HAS_BOUND
        deflated += np.packbits(curve.is_bound.astype(np.bool_)).tobytes()
    valid = curve.valid
    head = _HEAD.pack(_VERSION, flags, curve.value.size, valid.low_hz, valid.high_hz)
    return head + low + zlib.compress(deflated, _EFFORT)


def unpack_points(packed: bytes) -> Points:
    """Return what ``pack_points`` was given."""
    _, flags, size, low_hz, high_hz = _HEAD.unpack_from(packed)
    body = _body(packed, flags=flags, size=size)
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


def _parted(shuffled: bytes) -> tuple[bytes, bytes, bool]:
    """Return what stays as it is, what is worth deflating, and whether the two are parted."""
    at = len(shuffled) // 8 * _LOW
    low = shuffled[:at]
    if len(zlib.compress(low, _EFFORT)) > _WORTH * at:
        return low, shuffled[at:], True
    return b"", shuffled, False


def _body(packed: bytes, *, flags: int, size: int) -> bytes:
    """Put the parts in order: values, uncertainties, bounds, byte by byte."""
    low, at = _LOW * size, _HEAD.size
    plain = []
    for flag in (_PLAIN_VALUE, _PLAIN_UNCERTAINTY):
        plain.append(packed[at : at + low] if flags & flag else b"")
        at += len(plain[-1])
    body = zlib.decompress(packed[at:])
    rest = 8 * size - len(plain[0])
    return plain[0] + body[:rest] + plain[1] + body[rest:]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ManyPoints:
    """What ``pack_points`` keeps of curves over the same n frequencies.

    Attributes
    ----------
    value, uncertainty : (n, curves) array
        A row a frequency; NaN where the uncertainty is not known.
    is_bound : (n, curves) bool array
        As in Curve.
    low_hz, high_hz : (curves,) array
        Hz.
    """

    value: Floats
    uncertainty: Floats
    is_bound: Bools
    low_hz: Floats
    high_hz: Floats


def unpack_many(packed: Sequence[bytes], *, size: int) -> ManyPoints:
    """Return what ``pack_points`` was given for many curves of ``size`` points each."""
    heads = np.frombuffer(b"".join(one[: _HEAD.size] for one in packed), dtype=_HEADS)
    found = ManyPoints(
        value=np.empty((size, len(packed))),
        uncertainty=np.full((size, len(packed)), np.nan),
        is_bound=np.zeros((size, len(packed)), dtype=np.bool_),
        low_hz=heads["low"].astype(np.float64),
        high_hz=heads["high"].astype(np.float64),
    )
    groups = [
        np.flatnonzero(heads["flags"] == flags)[start : start + _AT_ONCE]
        for flags in np.unique(heads["flags"])
        for start in range(0, int((heads["flags"] == flags).sum()), _AT_ONCE)
    ]
    flags_of = [int(heads["flags"][group[0]]) for group in groups]

    def unpack(group: Ints, flags: int) -> None:
        bodies = b"".join(_body(packed[one], flags=flags, size=size) for one in group)
        rows = np.frombuffer(bodies, dtype=np.uint8).reshape(group.size, -1)
        found.value[:, group] = _turned(rows[:, : 8 * size])
        rows = rows[:, 8 * size :]
        if flags & _HAS_UNCERTAINTY:
            found.uncertainty[:, group] = _turned(rows[:, : 8 * size])
            rows = rows[:, 8 * size :]
        if flags & _HAS_BOUND:
            bits = np.unpackbits(rows, axis=1, count=size)
            found.is_bound[:, group] = bits.T.astype(np.bool_)

    if len(groups) < 2:
        for group, flags in zip(groups, flags_of, strict=True):
            unpack(group, flags)
    else:  # deflate lets others work meanwhile
        with ThreadPoolExecutor(min(os.cpu_count() or 1, 4)) as pool:
            list(pool.map(unpack, groups, flags_of))
    return found


def _turned(rows: NDArray[np.uint8]) -> Floats:
    # Byte by byte, a row a curve, becomes numbers, a row a frequency.
    by_byte = rows.reshape(rows.shape[0], 8, -1)
    return np.ascontiguousarray(by_byte.transpose(2, 0, 1)).view("<f8")[:, :, 0].astype(np.float64)


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
