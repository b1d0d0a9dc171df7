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
from typing import Self

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
    parts = _parts([packed], flags=flags, size=size)
    return Points(
        value=_turned(parts.value)[:, 0],
        uncertainty=None if parts.uncertainty is None else _turned(parts.uncertainty)[:, 0],
        is_bound=None if parts.bits is None else _bools(parts.bits, size=size)[:, 0],
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
class _Parts:
    """What lies in the bytes of curves with the same flags, a row a curve; None: not there."""

    value: Bytes
    uncertainty: Bytes | None
    bits: Bytes | None


def _parts(packed: Sequence[bytes], *, flags: int, size: int) -> _Parts:
    low = _LOW * size
    value_low = low if flags & _PLAIN_VALUE else 0
    uncertainty_low = low if flags & _PLAIN_UNCERTAINTY else 0
    at = _HEAD.size + value_low + uncertainty_low
    plain = _rows([one[_HEAD.size : at] for one in packed])
    body = _rows([zlib.decompress(one[at:]) for one in packed])
    value = np.concatenate([plain[:, :value_low], body[:, : 8 * size - value_low]], axis=1)
    body = body[:, 8 * size - value_low :]
    uncertainty = None
    if flags & _HAS_UNCERTAINTY:
        rest = 8 * size - uncertainty_low
        uncertainty = np.concatenate([plain[:, value_low:], body[:, :rest]], axis=1)
        body = body[:, rest:]
    return _Parts(value=value, uncertainty=uncertainty, bits=body if flags & _HAS_BOUND else None)


def _rows(packed: Sequence[bytes]) -> Bytes:
    return np.frombuffer(b"".join(packed), dtype=np.uint8).reshape(len(packed), -1)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ManyPoints:
    """Room for what ``pack_points`` keeps of curves over the same n frequencies.

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

    @classmethod
    def room(cls, *, size: int, curves: int) -> Self:
        """Return room for so many curves of ``size`` points; nothing stands in it yet."""
        return cls(
            value=np.empty((size, curves)),
            uncertainty=np.empty((size, curves)),
            is_bound=np.zeros((size, curves), dtype=np.bool_),
            low_hz=np.empty(curves),
            high_hz=np.empty(curves),
        )

    def part(self, curves: int) -> "ManyPoints":
        """Return the first curves, in the same memory."""
        return ManyPoints(
            value=self.value[:, :curves],
            uncertainty=self.uncertainty[:, :curves],
            is_bound=self.is_bound[:, :curves],
            low_hz=self.low_hz[:curves],
            high_hz=self.high_hz[:curves],
        )


def unpack_many(packed: Sequence[bytes], *, into: ManyPoints, begin: int) -> None:
    """Put what ``pack_points`` was given for some curves side by side, from one place on."""
    heads = np.frombuffer(b"".join(one[: _HEAD.size] for one in packed), dtype=_HEADS)
    size = into.value.shape[0]
    into.low_hz[begin : begin + len(packed)] = heads["low"]
    into.high_hz[begin : begin + len(packed)] = heads["high"]
    for flags in np.unique(heads["flags"]).tolist():
        ours = np.flatnonzero(heads["flags"] == flags)
        for start in range(0, ours.size, _AT_ONCE):
            some = ours[start : start + _AT_ONCE]
            parts = _parts([packed[one] for one in some], flags=flags, size=size)
            to = begin + some
            into.value[:, to] = _turned(parts.value)
            into.uncertainty[:, to] = (
                np.nan if parts.uncertainty is None else _turned(parts.uncertainty)
            )
            if parts.bits is not None:
                into.is_bound[:, to] = _bools(parts.bits, size=size)


def points_in(packed: bytes) -> int:
    """Return how many points a curve has."""
    size: int = _HEAD.unpack_from(packed)[2]
    return size


def _turned(rows: Bytes) -> Floats:
    # Byte by byte, a row a curve, becomes numbers, a row a frequency.
    curves, size = rows.shape[0], rows.shape[1] // 8
    numbers = np.empty((size, curves, 8), dtype=np.uint8)
    for byte in range(8):
        numbers[:, :, byte] = rows[:, byte * size : (byte + 1) * size].T
    return numbers.view("<f8")[:, :, 0].astype(np.float64, copy=False)


def _bools(bits: Bytes, *, size: int) -> Bools:
    return np.unpackbits(bits, axis=1, count=size).T.astype(np.bool_)


def pack_axis(frequency_hz: Floats) -> bytes:
    """Return frequencies as bytes."""
    return zlib.compress(_shuffled(frequency_hz), _EFFORT)


def unpack_axis(packed: bytes) -> Floats:
    """Return what ``pack_axis`` was given."""
    return _turned(_rows([zlib.decompress(packed)]))[:, 0]


def _shuffled(values: Floats) -> bytes:
    return values.astype("<f8").view(np.uint8).reshape(-1, 8).T.tobytes()
