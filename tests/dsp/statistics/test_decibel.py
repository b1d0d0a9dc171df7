import numpy as np
import pytest

from dsp.statistics.decibel import relative_to_db


def test_a_percent_is_the_slope_of_the_logarithm() -> None:
    # d(20 log10 x) = (20 / ln 10) dx / x
    assert relative_to_db(0.01) == pytest.approx(0.0868588964, rel=1e-9)
    middle = (20 * np.log10(1.001) - 20 * np.log10(0.999)) / 2
    assert relative_to_db(0.001) == pytest.approx(middle, rel=1e-5)
