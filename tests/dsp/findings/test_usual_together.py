import numpy as np
import pytest

from dsp import DspError, Floats
from dsp.findings.usual_together import usual_correlation

TRUE = np.array([[1.0, 0.7, 0.0], [0.7, 1.0, -0.3], [0.0, -0.3, 1.0]])
SPREAD = np.array([2.0, 5.0, 0.3])


def lot(count: int, *, seed: int = 1) -> Floats:
    rng = np.random.default_rng(seed)
    return np.asarray(rng.multivariate_normal(np.zeros(3), TRUE, size=count) * SPREAD)


def test_many_units_tell_the_correlation_that_they_have() -> None:
    np.testing.assert_allclose(usual_correlation(lot(4000), assumed=SPREAD), TRUE, atol=0.03)


def test_ten_units_tell_half_of_it_and_one_nothing() -> None:
    # The assumed ones count as ten: over many lots of eleven, ten degrees of freedom, the mean
    # correlation is half the true one; a little less, for few units seem to have some astray.
    found = np.mean(
        [usual_correlation(lot(11, seed=n), assumed=SPREAD)[0, 1] for n in range(300)], axis=0
    )
    assert 0.25 < found < 0.36
    np.testing.assert_allclose(usual_correlation(lot(1), assumed=SPREAD), np.eye(3))


def test_a_bad_unit_among_good_ones_ties_nothing_together() -> None:
    apart = np.random.default_rng(2).normal(size=(60, 2))
    bad = np.vstack([apart, [[40.0, 40.0]]])
    one, other = (usual_correlation(values, assumed=np.ones(2))[0, 1] for values in (apart, bad))
    assert other == pytest.approx(one, abs=0.05)


def test_with_gaps_it_stays_the_correlation_of_something() -> None:
    values = lot(12)
    values[::2, 0] = np.nan
    values[1::3, 1] = np.nan
    values[:, 2] = np.nan
    found = usual_correlation(values, assumed=SPREAD)
    np.testing.assert_allclose(np.diag(found), 1.0)
    assert np.linalg.eigvalsh(found)[0] > 0
    assert not found[2, :2].any()


def test_nothing_assumed_is_refused() -> None:
    with pytest.raises(DspError, match="assumed spread"):
        usual_correlation(lot(3), assumed=np.zeros(3))
