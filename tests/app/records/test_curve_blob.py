"""A curve's bytes: lossless, readable in either layout, and many at once as one by one."""

import struct
import zlib

import numpy as np
import pytest

from app.records.curve_blob import pack_points, points_in, unpack_points
from app.records.many_points import ManyPoints
from dsp import Curve, Floats, ValidRange

N = 50
RNG = np.random.default_rng(5)
NOISE = RNG.normal(size=N)
NOISE.setflags(write=False)
EVEN = np.full(N, 0.4)
ODD = np.array([np.nan, np.inf, -np.inf, -0.0, 5e-324] * (N // 5))


def curve(value: Floats, *, uncertainty: Floats | None = None, is_bound: bool = False) -> Curve:
    return Curve(
        frequency_hz=np.geomspace(20, 20_000, N),
        value=value,
        unit="dB",
        valid=ValidRange(low_hz=31.5, high_hz=0.1 + 0.2),
        uncertainty=uncertainty,
        is_bound=NOISE > 0 if is_bound else None,
    )


CURVES = [
    curve(value, uncertainty=uncertainty, is_bound=is_bound)
    for value in (NOISE, EVEN, ODD)
    for uncertainty in (None, NOISE**2, EVEN)
    for is_bound in (False, True)
]


def same(one: Floats, other: Floats) -> bool:
    return np.asarray(one, dtype=np.float64).tobytes() == other.tobytes()


@pytest.mark.parametrize("kept", CURVES)
def test_a_curve_comes_back_bit_for_bit(kept: Curve) -> None:
    found = unpack_points(pack_points(kept))
    assert same(found.value, kept.value)
    assert (found.low_hz, found.high_hz) == (kept.valid.low_hz, kept.valid.high_hz)
    if kept.uncertainty is None or found.uncertainty is None:
        assert kept.uncertainty is found.uncertainty
    else:
        assert same(found.uncertainty, kept.uncertainty)
    if kept.is_bound is None or found.is_bound is None:
        assert kept.is_bound is found.is_bound
    else:
        np.testing.assert_array_equal(found.is_bound, kept.is_bound)


@pytest.mark.parametrize("times", [1, 40])  # 40: more than go at once
def test_many_at_once_are_as_one_by_one(times: int) -> None:
    packed = [pack_points(one) for one in CURVES] * times
    room = ManyPoints.room(size=points_in(packed[0]), curves=len(packed) + 5)
    room.put(packed[:2], begin=0)
    room.put(packed[2:], begin=2)
    found = room.part(len(packed))
    doubt = found.uncertainty()
    for place, blob in enumerate(packed[-len(CURVES) :], start=len(packed) - len(CURVES)):
        alone = unpack_points(blob)
        nothing = np.full(N, np.nan)
        assert same(found.value[:, place].copy(), alone.value)
        uncertainty = nothing if alone.uncertainty is None else alone.uncertainty
        assert same(doubt[:, place].copy(), uncertainty)
        bound = np.zeros(N, dtype=np.bool_) if alone.is_bound is None else alone.is_bound
        np.testing.assert_array_equal(found.is_bound[:, place], bound)
        assert (found.low_hz[place], found.high_hz[place]) == (alone.low_hz, alone.high_hz)


def test_the_first_layout_is_still_read() -> None:
    def shuffled(values: Floats) -> bytes:
        return b"".join(values.tobytes()[byte::8] for byte in range(8))

    head = struct.pack("<BBIdd", 1, 1, N, 20.0, 20_000.0)
    found = unpack_points(head + zlib.compress(shuffled(NOISE) + shuffled(EVEN)))
    assert same(found.value, NOISE)
    assert found.uncertainty is not None
    assert same(found.uncertainty, EVEN)
    assert found.is_bound is None


def test_what_repeats_takes_little_room_and_noise_no_more_than_it_needs() -> None:
    assert len(pack_points(curve(EVEN, uncertainty=EVEN))) < 80
    assert len(pack_points(curve(NOISE))) <= 26 + 8 * N + 20


def test_bytes_that_are_noise_stay_as_they_are_and_are_not_unpacked() -> None:
    lowest = NOISE.tobytes()[0::8]
    assert lowest in pack_points(curve(NOISE))
    assert EVEN.tobytes()[0::8] not in pack_points(curve(EVEN))
