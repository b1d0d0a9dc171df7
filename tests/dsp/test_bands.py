"""Midbands and edges against IEC 61260-1:2014, and against an independent implementation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.bands import fractional_octave_bands, half_band_ratio

THIRD_OCTAVE_NAMES = (
    "20 25 31.5 40 50 63 80 100 125 160 200 250 315 400 500 630 800 1000 1250 1600 2000 2500 3150 "
    "4000 5000 6300 8000 10000 12500 16000 20000"
)  # ISO 266, R10


def test_the_third_octave_at_1_khz_has_base_ten_edges() -> None:
    bands = fractional_octave_bands(3, low_hz=990, high_hz=1010)
    # IEC 61260-1:2014, 5.5: 1000 / G^(1/6) and 1000 * G^(1/6), G = 10^0.3
    assert bands.low_hz == pytest.approx([891.250938], rel=1e-9)
    assert bands.high_hz == pytest.approx([1122.018454], rel=1e-9)
    assert abs(bands.low_hz[0] - 890.899) > 0.3  # base two


def test_the_octave_at_1_khz_has_base_ten_edges() -> None:
    bands = fractional_octave_bands(1, low_hz=990, high_hz=1010)
    assert bands.low_hz == pytest.approx([707.945784], rel=1e-9)
    assert bands.high_hz == pytest.approx([1412.537545], rel=1e-9)


@pytest.mark.parametrize(
    ("per_octave", "first_above_1_khz"),
    [(6, 1059.25373), (12, 1029.20053), (24, 1014.49521), (48, 1007.22153)],
)
def test_an_even_division_puts_an_edge_on_1_khz_and_no_midband(
    per_octave: int, first_above_1_khz: float
) -> None:
    bands = fractional_octave_bands(per_octave, low_hz=1000, high_hz=1100)  # 61260-1:2014, 5.4
    assert bands.midband_hz[0] == pytest.approx(first_above_1_khz, abs=5e-6)
    assert bands.low_hz[0] == pytest.approx(1000, rel=1e-12)


@pytest.mark.parametrize(
    ("per_octave", "count"), [(1, 10), (3, 31), (6, 60), (12, 120), (24, 240), (48, 480)]
)
def test_three_decades_hold_ten_base_ten_octaves(per_octave: int, count: int) -> None:
    assert fractional_octave_bands(per_octave, low_hz=20, high_hz=20_000).midband_hz.size == count


def test_third_octaves_are_named_by_the_r10_series() -> None:
    bands = fractional_octave_bands(3, low_hz=20, high_hz=20_000)
    np.testing.assert_array_equal(bands.nominal_hz, [float(x) for x in THIRD_OCTAVE_NAMES.split()])
    assert bands.midband_hz[[0, -1]] == pytest.approx([19.9526231, 19952.6231], rel=1e-8)


def test_narrow_bands_are_named_by_three_digits_or_two() -> None:
    # 1/24 octave, IEC 61260-1:2014, annex E: 41.567 Hz is called 41.6 Hz, 8785.2 Hz 8800 Hz
    for exact, name in ((41.567, 41.6), (8785.2, 8800.0)):
        bands = fractional_octave_bands(24, low_hz=exact * 0.999, high_hz=exact * 1.001)
        assert bands.midband_hz == pytest.approx([exact], rel=1e-5)
        assert bands.nominal_hz.tolist() == [name]


@given(per_octave=st.integers(1, 96), low=st.floats(5, 500), octaves=st.floats(0.1, 9))
def test_bands_adjoin_and_lie_evenly_around_their_midbands(
    per_octave: int, low: float, octaves: float
) -> None:
    bands = fractional_octave_bands(per_octave, low_hz=low, high_hz=low * 2**octaves)
    np.testing.assert_allclose(bands.high_hz[:-1], bands.low_hz[1:], rtol=1e-12)
    np.testing.assert_allclose(bands.low_hz * bands.high_hz, bands.midband_hz**2, rtol=1e-12)
    ratio = half_band_ratio(per_octave)
    np.testing.assert_allclose(bands.high_hz, bands.midband_hz * ratio, rtol=1e-12)


@pytest.mark.parametrize(("low", "high", "per_octave"), [(0, 1, 3), (5, 5, 3), (1, 2, 0)])
def test_a_span_or_a_division_that_makes_no_band_is_refused(
    low: float, high: float, per_octave: int
) -> None:
    with pytest.raises(DspError, match="fractional_octave_bands: "):
        fractional_octave_bands(per_octave, low_hz=low, high_hz=high)
