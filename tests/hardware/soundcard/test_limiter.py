"""Nothing passes the ceiling, nothing begins or ends with a step, and silence stays silence."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from hardware.card import Samples
from hardware.errors import OutputTooHighError
from hardware.soundcard.limiter import Limiter, check_output

RATE = 48_000.0
RAMP = 240  # 5 ms


def limiter(output: Samples, ceiling: float = 1.0) -> Limiter:
    return Limiter(output, ceiling=ceiling, sample_rate_hz=RATE)


def played(output: Samples, *, block: int, ceiling: float = 1.0, blocks: int = 0) -> Samples:
    source = limiter(output, ceiling)
    out = np.full((block * (blocks or -(-output.size // block)), 2), 9.0, dtype=np.float32)
    for start in range(0, out.shape[0], block):
        source.fill(out[start : start + block], lanes=(1,), stop=False)
    return out


def ones(samples: int) -> Samples:
    return np.ones(samples, dtype=np.float32)


@settings(deadline=None)
@given(
    arrays(np.float32, st.integers(1, 1500), elements=st.floats(-1, 1, width=32)),
    st.integers(1, 700),
)
def test_blocks_of_any_length_play_the_same(output: Samples, block: int) -> None:
    whole = played(output, block=output.size)[:, 1]
    parts = played(output, block=block)
    np.testing.assert_array_equal(parts[: output.size, 1], whole)
    assert not np.any(parts[:, 0])
    assert not np.any(parts[output.size :])


@settings(deadline=None)
@given(arrays(np.float32, 900, elements=st.floats(-1, 1, width=32)), st.floats(0.01, 2))
def test_it_is_refused_or_stays_under_the_ceiling(output: Samples, ceiling: float) -> None:
    peak = float(np.abs(output).max())
    try:
        out = played(output, block=64, ceiling=ceiling)
    except OutputTooHighError:
        assert peak > min(ceiling, 1.0)
    else:
        assert float(np.abs(out).max()) <= ceiling
        assert peak <= min(ceiling, 1.0) * (1 + 1e-6)


def test_a_signal_silent_at_both_ends_passes_bit_for_bit() -> None:
    output = np.random.default_rng(2).uniform(-1, 1, 2000).astype(np.float32)
    output[:RAMP] = output[-RAMP:] = 0
    np.testing.assert_array_equal(played(output, block=2000)[:, 1], output)


def test_a_step_becomes_half_a_cosine_at_both_ends() -> None:
    out = played(ones(1000), block=1000)[:, 1]
    rise = (1 - np.cos(np.pi * np.arange(RAMP) / RAMP)) / 2
    np.testing.assert_allclose(out[:RAMP], rise, atol=1e-7)
    np.testing.assert_allclose(out[-RAMP:], rise[::-1], atol=1e-7)


@pytest.mark.parametrize("block", [16, 64, 240, 1024])
def test_stop_falls_to_silence_within_the_block_and_for_good(block: int) -> None:
    source, out = limiter(ones(100_000)), np.empty((block, 1), dtype=np.float32)
    for _ in range(-(-RAMP // block)):
        source.fill(out, lanes=(0,), stop=False)
    assert out[-1, 0] > 0.99
    before = float(out[-1, 0])
    source.fill(out, lanes=(0,), stop=True)
    fall = np.concatenate(([before], out[:, 0], [0]))
    assert np.all(np.diff(fall[: block + 1]) <= 0)
    # The steepest sample of half a cosine over the whole block, or 5 ms where that is shorter.
    assert np.abs(np.diff(fall)).max() <= 1.3 * np.pi / 2 / min(block, RAMP)
    assert source.ended
    source.fill(out, lanes=(0,), stop=False)
    assert not np.any(out)


def test_several_lanes_carry_the_same() -> None:
    output, out = ones(600) / np.float32(2), np.empty((600, 4), dtype=np.float32)
    limiter(output).fill(out, lanes=(2, 0), stop=False)
    np.testing.assert_array_equal(out[:, 0], out[:, 2])
    assert not np.any(out[:, [1, 3]])


def test_it_plays_what_was_checked_whatever_happens_to_the_memory() -> None:
    output = ones(1000) / np.float32(4)
    source, out = limiter(output, 0.25), np.empty((1000, 1), dtype=np.float32)
    output[:] = 1.0
    source.fill(out, lanes=(0,), stop=False)
    assert out.max() == 0.25


@pytest.mark.parametrize(
    ("output", "ceiling", "words"),
    [
        (
            np.array([0, 0.3, -0.6], dtype=np.float32),
            0.5,
            r"sample 2 too high: given 0\.6, .* 0\.5",
        ),
        (np.array([0, 1.5], dtype=np.float32), 2.0, r"given 1\.5, allowed 1 of full scale"),
        (np.array([0, np.nan], dtype=np.float32), 1.0, "not numbers"),
        (np.array([0, np.inf], dtype=np.float32), 1.0, "not numbers"),
        (np.zeros(3, dtype=np.float32), float("nan"), "ceiling unknown"),
        (np.zeros(3, dtype=np.float32), -1.0, "ceiling unknown"),
    ],
)
def test_what_does_not_fit_is_refused(output: Samples, ceiling: float, words: str) -> None:
    with pytest.raises(OutputTooHighError, match=words):
        check_output(output, ceiling=ceiling)


def test_a_peak_rounded_to_float32_at_the_ceiling_fits_and_stays_under_it() -> None:
    ceiling = 0.1  # its nearest float32 lies above it
    output = np.full(600, ceiling, dtype=np.float32)
    assert float(output[0]) > ceiling
    assert float(played(output, block=600, ceiling=ceiling).max()) <= ceiling
