"""Three samples in a row at a rail, or two pairs, say that a converter clipped; less does not."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError
from dsp.response.overload import overload

QUIET = np.sin(np.arange(200) / 7) * 0.5


@pytest.mark.parametrize(
    ("at_rail", "count", "longest", "clipped"),
    [
        ([], 0, 0, False),
        ([50], 1, 1, False),
        ([50, 51], 2, 2, False),
        ([50, 60, 70, 80], 4, 1, False),
        ([50, 51, 60, 61], 4, 2, True),
        ([50, 51, 52], 3, 3, True),
        ([0, 1, 2], 3, 3, True),
        ([197, 198, 199], 3, 3, True),
    ],
)
@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("rail", [1.0, 5.0])
def test_runs_are_counted_at_either_rail(
    at_rail: list[int], count: int, longest: int, *, clipped: bool, sign: int, rail: float
) -> None:
    samples = QUIET.copy()
    samples[at_rail] = sign
    found = overload(samples * rail, rail=rail)
    assert (found.count, found.longest_run, found.clipped) == (count, longest, clipped)


@pytest.mark.parametrize("top", [1 - 2.0**-15, 1 - 2.0**-23])
def test_the_top_code_of_16_and_24_bits_is_the_rail(top: float) -> None:
    samples = QUIET.astype(np.float32)
    samples[50:53] = top
    assert overload(samples).clipped


def test_a_fast_swing_between_the_rails_is_not_one_run() -> None:
    assert overload(np.array([0.0, 1.0, -1.0, 1.0, -1.0, 0.0])).longest_run == 1


@settings(deadline=None)
@given(st.floats(0.3, 3.0), st.floats(20, 2000))
def test_a_sine_is_clipped_where_it_was_cut_and_only_there(peak: float, hz: float) -> None:
    sine = peak * np.sin(2 * np.pi * hz / 48_000 * np.arange(4800))
    cut = np.clip(sine, -1, 1)
    found = overload(cut)
    # A closed form: the sine stays over the rail for (pi - 2 arcsin(1/peak)) of its period.
    over = 0.0 if peak <= 1 else (np.pi - 2 * np.arcsin(1 / peak)) / (2 * np.pi) * 48_000 / hz
    if over >= 4:
        assert found.clipped
        assert found.longest_run == pytest.approx(over, abs=2)
    if peak < 0.99:
        assert found.count == 0


@pytest.mark.parametrize(
    ("samples", "rail", "words"),
    [
        (np.zeros((3, 2)), 1.0, "not one channel"),
        (np.array([0.0, np.nan]), 1.0, "not numbers"),
        (np.zeros(3), 0.0, "no rail"),
    ],
)
def test_what_is_no_channel_is_refused(samples: np.ndarray, rail: float, words: str) -> None:
    with pytest.raises(DspError, match=f"^overload: {words}"):
        overload(samples, rail=rail)
