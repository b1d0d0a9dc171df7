import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.conformity.mask import MaskLines


def test_between_two_points_a_limit_runs_straight_over_log_f() -> None:
    mask = MaskLines(upper=((100.0, 80.0), (10_000.0, 90.0)))
    # 1 kHz is the middle of two decades; 5050 Hz, the middle in Hz, is not.
    assert mask.upper_at(np.array([100.0, 1000.0, 10_000.0])) == pytest.approx([80, 85, 90])


def test_where_a_side_has_no_limit_it_is_infinitely_far() -> None:
    mask = MaskLines(upper=((100.0, 80.0), (200.0, 80.0)), lower=((50.0, 10.0), (150.0, 10.0)))
    at = np.array([60.0, 120.0, 180.0, 300.0])
    assert mask.upper_at(at).tolist() == [math.inf, 80, 80, math.inf]
    assert mask.lower_at(at).tolist() == [10, 10, -math.inf, -math.inf]
    assert mask.span_hz == (50.0, 200.0)
    assert mask.break_hz.tolist() == [50, 100, 150, 200]


def test_a_single_value_holds_everywhere() -> None:
    mask = MaskLines(upper=5.0)
    assert mask.upper_at(np.array([1.0, 1e6])).tolist() == [5.0, 5.0]
    assert not mask.over_frequency
    assert mask.span_hz == (0.0, math.inf)


@pytest.mark.parametrize(
    ("upper", "lower", "match"),
    [
        (None, None, "mask: empty"),
        ((), None, "mask upper: no points"),
        (None, ((100.0, 1.0), (100.0, 2.0)), "mask lower: frequencies do not rise"),
        (((200.0, 1.0), (100.0, 2.0)), None, "mask upper: frequencies do not rise"),
        (((0.0, 1.0), (100.0, 2.0)), None, "mask upper: frequencies do not rise"),
        (((10.0, math.nan),), None, "mask upper: not finite"),
        (math.inf, None, "mask upper: not finite"),
        (1.0, 2.0, "mask: lower limit above the upper: given 2 above 1"),
    ],
)
def test_a_mask_that_means_nothing_is_refused(upper: object, lower: object, match: str) -> None:
    with pytest.raises(DspError, match=match):
        MaskLines(upper=upper, lower=lower)  # type: ignore[arg-type]  # parametrised


def test_limits_that_cross_between_their_points_are_refused_at_the_place() -> None:
    # The lower limit bulges through the upper at its own point, where the upper has none.
    with pytest.raises(DspError, match="lower limit above the upper at 1000 Hz: given 7 above 5"):
        MaskLines(
            upper=((100.0, 5.0), (10_000.0, 5.0)),
            lower=((100.0, 0.0), (1000.0, 7.0), (10_000.0, 0.0)),
        )


def test_limits_that_touch_or_lie_side_by_side_are_a_mask() -> None:
    MaskLines(upper=((100.0, 5.0), (200.0, 5.0)), lower=((200.0, 5.0), (300.0, 9.0)))
    MaskLines(upper=((100.0, 5.0), (200.0, 5.0)), lower=((201.0, 8.0), (300.0, 9.0)))


@given(
    decades=st.lists(st.floats(1, 4.3), min_size=2, max_size=6, unique=True),
    values=st.lists(st.floats(-100, 100), min_size=6, max_size=6),
    extra=st.floats(0.01, 0.99),
)
def test_a_point_added_on_the_line_changes_no_limit(
    decades: list[float], values: list[float], extra: float
) -> None:
    hz = [10**x for x in sorted(decades)]
    points = tuple(zip(hz, values, strict=False))
    if len(set(hz)) < len(hz):
        return
    mask = MaskLines(lower=points)
    middle = hz[0] * (hz[1] / hz[0]) ** extra
    if not hz[0] < middle < hz[1]:
        return
    on_line = (middle, float(mask.lower_at(np.array([middle]))[0]))
    denser = MaskLines(lower=(points[0], on_line, *points[1:]))
    at = np.geomspace(hz[0], hz[-1], 50)[1:-1]
    np.testing.assert_allclose(denser.lower_at(at), mask.lower_at(at), atol=1e-6)
