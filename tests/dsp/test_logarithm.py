import cmath

import numpy as np
import pytest

from dsp.logarithm import logarithm


def test_it_is_the_principal_logarithm_in_every_quadrant() -> None:
    values = np.array([2.0, 3j, -1 + 1e-9j, -4 - 3j, 1e-200 - 1e-200j, complex(-1.0, 0.0)])
    expected = [cmath.log(one) for one in values.tolist()]
    assert logarithm(values).tolist() == pytest.approx(expected, rel=1e-14)
