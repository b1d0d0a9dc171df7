"""Risks of a decision rule, beyond the printed figures in tests/external."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from dsp import DspError
from dsp.conformity.global_risk import global_risk


@settings(max_examples=30)
@given(
    middle=st.floats(-3, 3),
    deviation=st.floats(0.05, 5),
    u=st.floats(0.01, 5),
    limit=st.floats(0.1, 4),
    guard=st.floats(-0.5, 0.9),
)
def test_shares_add_up(
    middle: float, deviation: float, u: float, limit: float, guard: float
) -> None:
    found = global_risk(
        middle=middle,
        deviation=deviation,
        standard_uncertainty=u,
        upper=limit,
        lower=-limit,
        accept_upper=(1 - guard) * limit,
        accept_lower=-(1 - guard) * limit,
    )
    accepted = (1 - float(found.bad)) - float(found.producer) + float(found.consumer)
    assert float(found.accepted) == pytest.approx(accepted, abs=1e-9)
    # What is read scatters by both: the share accepted is known in closed form.
    reads = np.hypot(deviation, u)
    edge = (1 - guard) * limit
    wanted = ndtr((edge - middle) / reads) - ndtr((-edge - middle) / reads)
    assert float(found.accepted) == pytest.approx(wanted, abs=1e-9)


def test_a_wider_guard_band_moves_the_risk_to_the_producer() -> None:
    band = np.linspace(0, 1, 5)
    found = global_risk(
        middle=0.0,
        deviation=1.0,
        standard_uncertainty=0.3,
        upper=2.0,
        lower=-2.0,
        accept_upper=2.0 - band,
        accept_lower=-2.0 + band,
    )
    assert (np.diff(found.consumer) < 0).all()
    assert (np.diff(found.producer) > 0).all()


def test_one_limit_has_half_the_risk_of_two() -> None:
    both, one = (
        global_risk(middle=0.0, deviation=1.0, standard_uncertainty=0.25, upper=2.0, lower=lower)
        for lower in (-2.0, -np.inf)
    )
    assert float(one.consumer) == pytest.approx(float(both.consumer) / 2, abs=1e-12)


def test_guard_bands_that_meet_accept_nothing() -> None:
    found = global_risk(
        middle=0.0,
        deviation=1.0,
        standard_uncertainty=1.0,
        upper=1.0,
        lower=-1.0,
        accept_upper=-0.5,
        accept_lower=0.5,
    )
    assert float(found.accepted) == 0.0
    assert float(found.producer) == pytest.approx(ndtr(1) - ndtr(-1))


def test_no_spread_is_refused() -> None:
    with pytest.raises(DspError, match="no spread"):
        global_risk(middle=0.0, deviation=0.0, standard_uncertainty=1.0, upper=1.0)
