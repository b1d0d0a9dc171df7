"""Bands and preferred numbers against the standards, and against an independent library.

Sources: IEC 61260-1:2014, 5.2 to 5.6; ISO 3:1973; ISO 266:1997. Witness: pyfar 0.8.1.
"""

import numpy as np
import pyfar
import pytest

from dsp import Curve, ValidRange
from dsp.bands import fractional_octave_bands
from dsp.grid import log_grid
from dsp.preferred import nearest_preferred, preferred_numbers
from dsp.response.smooth import smooth

# ISO 3:1973, table 1
R40 = (
    "1 1.06 1.12 1.18 1.25 1.32 1.4 1.5 1.6 1.7 1.8 1.9 2 2.12 2.24 2.36 2.5 2.65 2.8 3 3.15 3.35 "
    "3.55 3.75 4 4.25 4.5 4.75 5 5.3 5.6 6 6.3 6.7 7.1 7.5 8 8.5 9 9.5"
)


@pytest.mark.parametrize("per_octave", [1, 2, 3, 6, 12, 24, 48])
def test_bands_are_those_of_an_independent_library(per_octave: int) -> None:
    middle, low, high = pyfar.constants.fractional_octave_frequencies_exact(
        per_octave, (25, 16_000)
    )
    got = fractional_octave_bands(per_octave, low_hz=20, high_hz=20_000)
    first = int(np.argmin(np.abs(got.midband_hz - middle[0])))
    here = slice(first, first + middle.size)
    np.testing.assert_allclose(got.midband_hz[here], middle, rtol=1e-12)
    np.testing.assert_allclose(got.low_hz[here], low, rtol=1e-12)
    np.testing.assert_allclose(got.high_hz[here], high, rtol=1e-12)


@pytest.mark.parametrize("per_octave", [1, 3])
def test_nominal_names_are_those_of_an_independent_library(per_octave: int) -> None:
    named = pyfar.constants.fractional_octave_frequencies_nominal(per_octave, (25, 16_000))
    got = fractional_octave_bands(per_octave, low_hz=20, high_hz=20_000).nominal_hz
    assert set(np.round(named, 6)) <= set(np.round(got, 6))


def test_the_third_octaves_of_the_audio_band_are_31_from_19_95_hz_to_19_95_khz() -> None:
    got = fractional_octave_bands(3, low_hz=20, high_hz=20_000).midband_hz
    np.testing.assert_allclose(got, 1000 * 10 ** (np.arange(-17, 14) / 10), rtol=1e-12)
    assert (got[0], got[-1]) == pytest.approx((19.9526, 19952.6231), rel=3e-6)


def test_the_edges_at_1_khz_are_the_standard_s_and_not_those_of_base_two() -> None:
    third = fractional_octave_bands(3, low_hz=990, high_hz=1010)
    assert (third.low_hz[0], third.high_hz[0]) == pytest.approx((891.250938, 1122.018454), rel=1e-9)
    whole = fractional_octave_bands(1, low_hz=990, high_hz=1010)
    assert (whole.low_hz[0], whole.high_hz[0]) == pytest.approx((707.945784, 1412.537545), rel=1e-9)
    assert abs(third.high_hz[0] / 1000 - 2 ** (1 / 6)) > 4e-4


def test_series_r40_is_the_standard_s_table() -> None:
    np.testing.assert_array_equal(preferred_numbers(40), [float(x) for x in R40.split()])


def test_every_exact_third_octave_is_nearest_to_its_preferred_name() -> None:
    exact = 1000 * 10 ** (np.arange(-17, 14) / 10)
    series = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8]
    wanted = [series[(k + 20) % 10] * 10.0 ** ((k + 20) // 10 + 1) for k in range(-17, 14)]
    np.testing.assert_allclose(nearest_preferred(exact, series=10), wanted, rtol=1e-12)


@pytest.mark.parametrize("per_octave", [1, 3, 6, 12])
def test_pink_noise_is_flat_in_bands_and_white_noise_rises_3_db_an_octave(per_octave: int) -> None:
    bands = fractional_octave_bands(per_octave, low_hz=20, high_hz=20_000)
    white_db = 10 * np.log10(bands.high_hz - bands.low_hz)
    slope = np.diff(white_db)
    np.testing.assert_allclose(slope, 3.0 / per_octave, rtol=1e-9)  # 3.0103 by base two
    pink = np.log(bands.high_hz / bands.low_hz)
    np.testing.assert_allclose(pink, pink[0], rtol=1e-9)


def test_smoothing_keeps_the_power_of_a_comb_of_reflections() -> None:
    # A direct sound and one echo of equal strength, 10 ms later: |1 + e^-jwt|^2 has mean 2.
    hz = log_grid(low_hz=100, high_hz=20_000, per_octave=4096)
    comb = 20 * np.log10(np.abs(1 + 0.999 * np.exp(-2j * np.pi * hz * 0.01)))
    curve = Curve(
        frequency_hz=hz, value=comb, unit="dB", valid=ValidRange(low_hz=100, high_hz=20_000)
    )
    got = smooth(curve, per_octave=3)
    above = (hz > 4000) & (hz < 15_000)  # a band holds ten teeth and more
    assert np.abs(got.value[above] - 10 * np.log10(1 + 0.999**2)).max() < 0.3
