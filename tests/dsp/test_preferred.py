"""Preferred numbers against ISO 3 and ISO 266."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.preferred import nearest_preferred, preferred_frequencies, preferred_numbers


def test_r10_and_r20_are_those_of_iso_3() -> None:
    np.testing.assert_array_equal(preferred_numbers(10), [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8])
    added = [1.12, 1.4, 1.8, 2.24, 2.8, 3.55, 4.5, 5.6, 7.1, 9]
    np.testing.assert_array_equal(preferred_numbers(20)[1::2], added)


@pytest.mark.parametrize(
    ("series", "lowest", "highest"), [(40, -1.01, 1.26), (80, -1.21, 1.28)]
)  # ISO 3 rounds R40 and R80 by so many percent
def test_a_series_strays_from_even_ratios_by_its_known_rounding(
    series: int, lowest: float, highest: float
) -> None:
    stray = 100 * (preferred_numbers(series) / 10 ** (np.arange(series) / series) - 1)
    assert stray.min() == pytest.approx(lowest, abs=0.005)
    assert stray.max() == pytest.approx(highest, abs=0.005)
    assert stray.size == series


def test_the_audio_band_has_31_preferred_third_octaves_ends_included() -> None:
    found = preferred_frequencies(10, low_hz=20, high_hz=20_000)
    assert found.size == 31
    assert found[[0, 2, 15, -1]].tolist() == [20, 31.5, 630, 20_000]


def test_below_one_the_series_goes_on_without_rounding_errors() -> None:
    found = preferred_frequencies(10, low_hz=0.2, high_hz=1)
    assert found.tolist() == [0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0]


@given(value=st.floats(1e-3, 1e6), series=st.sampled_from([5, 10, 20, 40, 80]))
def test_nothing_preferred_is_nearer_in_ratio(value: float, series: int) -> None:
    found = nearest_preferred(np.array([value]), series=series)[0]
    every = np.concatenate([preferred_numbers(series) * 10.0**k for k in range(-4, 8)])
    smallest = np.min(np.abs(np.log(every / value)))
    assert abs(np.log(found / value)) == pytest.approx(smallest, rel=1e-9, abs=1e-12)


def test_nearness_is_a_ratio_and_not_a_difference() -> None:
    # Between 8 and 10 the middle is sqrt(80) = 8.944, not 9.
    assert nearest_preferred(np.array([8.94, 8.95]), series=10).tolist() == [8, 10]


def test_an_unknown_series_is_refused() -> None:
    with pytest.raises(DspError, match="given 12, allowed 5, 10, 20, 40 or 80"):
        preferred_numbers(12)


def test_what_has_no_logarithm_is_refused() -> None:
    with pytest.raises(DspError, match="not positive"):
        nearest_preferred(np.array([0.0]), series=10)
    with pytest.raises(DspError, match="does not rise"):
        preferred_frequencies(10, low_hz=0, high_hz=10)
