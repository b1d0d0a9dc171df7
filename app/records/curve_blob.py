"""A curve's points as compact bytes, lossless.

Byte 0 is the version of the layout. What follows is little-endian: flags, the number of points, the
two ends of the valid range in Hz, then the body. In it the float64 values, and the uncertainties
where there are any, lie byte by byte (all first bytes, then all second ones), because neighbours
share sign, exponent and leading digits; at its end one bit a point tells where the value is only a
bound. The seven lowest bytes of each number are mostly noise in which deflate finds nothing and
takes long over it: where that is so they come first, as they are, of the values, then of the
uncertainties. The rest is deflated. Version 1 deflated all.
"""

import struct
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dsp import Bools, Curve, Floats

Bytes = NDArray[np.uint8]

_HEAD = struct.Struct("<BBIdd")
_VERSION = 2
_HAS_UNCERTAINTY, _HAS_BOUND, _PLAIN_VALUE, _PLAIN_UNCERTAINTY = 1, 2, 4, 8
_LOW = 7  # of the eight bytes of a number
_WORTH = 0.9  # of its size, deflated: above it bytes are left as they are
_HEADS = np.dtype(
    [("version", "u1"), ("flags", "u1"), ("size", "<u4"), ("low", "<f8"), ("high", "<f8")]
)
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
    parts = parts_of([packed], flags=flags, size=size)
    return Points(
        value=parts.value.numbers()[0],
        uncertainty=None if parts.uncertainty is None else parts.uncertainty.numbers()[0],
        is_bound=None if parts.is_bound is None else parts.is_bound[0],
        low_hz=low_hz,
        high_hz=high_hz,
    )


def _parted(shuffled: bytes) -> tuple[bytes, bytes, bool]:
    """Return what stays as it is, what is worth deflating, and whether the two are parted."""
    at = len(shuffled) // 8 * _LOW
    low = shuffled[:at]
    if len(zlib.compress(low, _EFFORT)) > _WORTH * at:
        return low, shuffled[at:], True
    return b"", shuffled, False


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Heads:
    """What stands at the beginning of curves, an entry a curve; see Points for the meanings."""

    flags: NDArray[np.uint8]
    low_hz: Floats
    high_hz: Floats


def heads_of(packed: Sequence[bytes]) -> Heads:
    """Read the beginnings of curves."""
    heads = np.frombuffer(b"".join(one[: _HEAD.size] for one in packed), dtype=_HEADS)
    return Heads(flags=heads["flags"], low_hz=heads["low"], high_hz=heads["high"])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Planes:
    """Numbers of k curves byte by byte: all first bytes, then all second ones, a row a curve.

    Attributes
    ----------
    plain : (k, a * n) array
        The first ``a`` bytes of each number.
    body : (k, (8 - a) * n) array
        The others.
    """

    plain: Bytes
    body: Bytes

    def numbers(self) -> Floats:
        """Return them, (k, n)."""
        size = (self.plain.shape[1] + self.body.shape[1]) // 8
        numbers = np.empty((len(self.body), size, 8), dtype=np.uint8)
        at = self.plain.shape[1] // max(size, 1)
        for byte in range(8):
            those, first = (self.plain, byte) if byte < at else (self.body, byte - at)
            numbers[:, :, byte] = those[:, first * size : (first + 1) * size]
        found: Floats = numbers.view("<f8")[:, :, 0].astype(np.float64, copy=False)
        return found


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Parts:
    """What lies in the bytes of curves with the same flags; None: not there.

    Attributes
    ----------
    value, uncertainty : Planes
        Still byte by byte.
    is_bound : (k, n) bool array
        Where the value is only a bound.
    """

    value: Planes
    uncertainty: Planes | None
    is_bound: Bools | None


def parts_of(packed: Sequence[bytes], *, flags: int, size: int) -> Parts:
    """Take apart what ``pack_points`` made of curves of so many points."""
    value_low = _LOW * size if flags & _PLAIN_VALUE else 0
    uncertainty_low = _LOW * size if flags & _PLAIN_UNCERTAINTY else 0
    middle = _HEAD.size + value_low
    at = middle + uncertainty_low
    body = _inflated([one[at:] for one in packed])
    plain = _rows([one[_HEAD.size : middle] for one in packed])
    value = Planes(plain=plain, body=body[:, : 8 * size - value_low])
    body, uncertainty, is_bound = body[:, 8 * size - value_low :], None, None
    if flags & _HAS_UNCERTAINTY:
        plain = _rows([one[middle:at] for one in packed])
        uncertainty = Planes(plain=plain, body=body[:, : 8 * size - uncertainty_low])
        body = body[:, 8 * size - uncertainty_low :]
    if flags & _HAS_BOUND:
        is_bound = np.unpackbits(body, axis=1, count=size).astype(np.bool_)
    return Parts(value=value, uncertainty=uncertainty, is_bound=is_bound)


def _inflated(deflated: Sequence[bytes]) -> Bytes:
    # Units of a kind share signs and exponents, and so many of these bytes to the last.
    found = {one: zlib.decompress(one) for one in set(deflated)}
    return _rows([found[one] for one in deflated])


def _rows(packed: Sequence[bytes]) -> Bytes:
    return np.frombuffer(b"".join(packed), dtype=np.uint8).reshape(len(packed), -1)


def points_in(packed: bytes) -> int:
    """Return how many points a curve has."""
    size: int = _HEAD.unpack_from(packed)[2]
    return size


def pack_axis(frequency_hz: Floats) -> bytes:
    """Return frequencies as bytes."""
    return zlib.compress(_shuffled(frequency_hz), _EFFORT)


def unpack_axis(packed: bytes) -> Floats:
    """Return what ``pack_axis`` was given."""
    body = _inflated([packed])
    found: Floats = Planes(plain=body[:, :0], body=body).numbers()[0]
    return found


def _shuffled(values: Floats) -> bytes:
    return values.astype("<f8").view(np.uint8).reshape(-1, 8).T.tobytes()
