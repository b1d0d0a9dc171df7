"""Per cent in decibels, against the definition of the decibel (ISO 80000-3:2006, annex C)."""

import numpy as np
import pytest

from dsp import Curve, ValidRange
from dsp.distortion.in_decibels import in_decibels, percent_in_decibels


def percent(*values: float, uncertainty: float = 0.1) -> Curve:
    hz = np.geomspace(100.0, 1000.0, len(values))
    return Curve(
        frequency_hz=hz,
        value=np.array(values),
        unit="%",
        valid=ValidRange(low_hz=100.0, high_hz=1000.0),
        uncertainty=np.full(hz.size, uncertainty),
        is_bound=np.array([True] + [False] * (hz.size - 1)),
    )


def test_a_tenth_is_twenty_decibels() -> None:
    got = percent_in_decibels(np.array([100.0, 10.0, 1.0, 0.1]))
    np.testing.assert_allclose(got, [0.0, -20.0, -40.0, -60.0], atol=1e-12)


def test_range_and_bounds_stay_with_the_curve() -> None:
    given = percent(1.0, 2.0)
    got = in_decibels(given)
    assert got.unit == "dB"
    assert got.valid == given.valid
    assert got.is_bound is not None
    assert got.is_bound.tolist() == [True, False]


def test_a_small_interval_is_the_difference_of_logarithms() -> None:
    got = in_decibels(percent(1.0, 1.0, uncertainty=0.01))
    assert got.uncertainty is not None
    assert got.uncertainty[0] == pytest.approx(20 * np.log10(1.01), rel=0.01)


def test_nothing_is_never_minus_infinity() -> None:
    got = in_decibels(percent(0.0, 1.0))
    assert np.isfinite(got.value).all()
    assert got.uncertainty is not None
    assert np.isfinite(got.uncertainty).all()


def test_decibels_are_left_alone() -> None:
    given = in_decibels(percent(1.0, 2.0))
    assert in_decibels(given) is given
