"""Judging many units at once gives what judging them one by one gives."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import Curve, DspError, ValidRange
from dsp.conformity.curve_set import gather
from dsp.conformity.judge import judge_curve
from dsp.conformity.judge_set import against, judge_set
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict
from tests.dsp.conformity.judged_curve import HZ, PLUS_MINUS_1, curve

values = st.one_of(st.floats(-3, 3), st.just(math.nan))
ends = st.sampled_from([20.0, 150.0, 200.0, 210.0, 1000.0, 1600.0, 20_000.0])


@st.composite
def curves(draw: st.DrawFn, unit: str = "dB") -> Curve:
    low, high = draw(ends), draw(ends)
    value = draw(st.lists(values, min_size=5, max_size=5))
    return curve(
        [170 * one for one in value] if unit == "deg" else value,
        uncertainty=draw(st.one_of(st.none(), st.lists(st.floats(0, 0.5), min_size=5, max_size=5))),
        valid=ValidRange(low_hz=low, high_hz=high),
        bounds=draw(st.one_of(st.none(), st.lists(st.integers(0, 4), max_size=2))),
        unit=unit,
    )


@st.composite
def limits(draw: st.DrawFn) -> MaskLines:
    def side(offset: float) -> Any:
        hz = sorted(
            draw(st.sets(st.sampled_from([50.0, 100.0, 150.0, 400.0, 1000.0, 1600.0]), min_size=1))
        )
        kind = draw(st.sampled_from(["points", "value", "none"]))
        if kind == "none":
            return None
        if kind == "value":
            return offset
        return tuple((one, offset + draw(st.floats(-0.9, 0.9))) for one in hz)

    upper, lower = side(1.0), side(-1.0)
    return MaskLines(upper=1.0 if upper is lower is None else upper, lower=lower)


@given(
    st.sampled_from(["dB", "deg"]).flatmap(
        lambda unit: st.tuples(
            st.lists(curves(unit), min_size=1, max_size=6), st.one_of(st.none(), curves(unit))
        )
    ),
    limits(),
    st.booleans(),
    st.sampled_from([None, (100.0, 400.0), (200.0, 20_000.0), (400.0, 400.0)]),
    st.sampled_from([0.0, 0.5, 1.0]),
)
@settings(deadline=None, max_examples=150)
def test_together_is_as_one_by_one(
    units: tuple[list[Curve], Curve | None],
    mask: MaskLines,
    align: bool,
    band: tuple[float, float] | None,
    guard: float,
) -> None:
    several, reference = units
    (together,) = gather(several)
    got = judge_set(
        against(together, reference=reference),
        mask=mask,
        align=align,
        align_band_hz=band,
        guard=guard,
    )
    for number, one in enumerate(several):
        alone = judge_curve(
            one, mask=mask, reference=reference, align=align, align_band_hz=band, guard=guard
        )
        assert got.fails[number] == (alone.verdict is Verdict.DOES_NOT_CONFORM)
        assert got.conforms[number] == (alone.verdict is Verdict.CONFORMS)
        assert got.margin[number] == pytest.approx(alone.margin, abs=1e-12, nan_ok=True)
        if alone.nearest_hz is None:
            assert np.isnan(got.nearest_hz[number])
        elif not math.isclose(alone.margin, 0, abs_tol=1e-9):
            # Two places may be equally near to the last bit but one.
            assert got.nearest_hz[number] > 0


def test_where_the_margin_is_smallest() -> None:
    (together,) = gather([curve([0, 0.3, -0.75, 0.1, 0]), curve([0, 0.3, -0.75, 1.5, 0])])
    got = judge_set(against(together), mask=PLUS_MINUS_1)
    np.testing.assert_allclose(got.margin, [0.25, -0.5])
    np.testing.assert_array_equal(got.nearest_hz, [400.0, 800.0])


def test_curves_of_other_frequencies_or_units_make_sets_of_their_own() -> None:
    other = curve([0.0, 0.0], hz=HZ[:2])
    sets = gather([curve([0.0] * 5), None, other, curve([1.0] * 5), curve([1.0] * 5, unit="ohm")])
    assert [one.members.tolist() for one in sets] == [[0, 3], [2], [4]]


def test_a_reference_in_another_unit_is_refused() -> None:
    (together,) = gather([curve([0.0] * 5)])
    with pytest.raises(DspError, match="reference in another unit"):
        against(together, reference=curve([0.0] * 5, unit="ohm"))


@pytest.mark.parametrize(
    "wrong", [{"guard": -1.0}, {"align": True, "align_band_hz": (400.0, 100.0)}]
)
def test_what_makes_no_sense_is_refused(wrong: dict[str, Any]) -> None:
    (together,) = gather([curve([0.0] * 5)])
    with pytest.raises(DspError, match="judge_set"):
        judge_set(against(together), mask=PLUS_MINUS_1, **wrong)
