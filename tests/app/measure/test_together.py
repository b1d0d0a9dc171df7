"""Judging many units at once gives what judging them one by one gives, also while limits move."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.measure import rejudge as rejudging
from app.measure.aligned import Aligner
from app.measure.held_columns import HeldColumns, columns_of_numbers, columns_of_set
from app.measure.room_jobs import PlainJob
from app.measure.standing import Outcome, Plan, Standing, nearest_hz, outcome, plan
from dsp import Curve, DspError, Number, ValidRange
from dsp.conformity.against import against
from dsp.conformity.curve_set import gather
from dsp.conformity.judge import judge_curve, judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import MaskResult, Verdict
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


def stand(
    aligner: Aligner,
    mask: MaskLines,
    *,
    align: bool = False,
    band: tuple[float, float] | None = None,
    guard: float = 0.0,
    before: Standing | None = None,
) -> Standing:
    """Judge all units, in two goes as two threads would."""
    held = aligner.held
    size = held.members.size
    offset = aligner.offsets(mask, band_hz=band) if align else np.zeros(size)
    planned = plan(held, lines=mask, guard=guard, offset=offset, before=before)
    for job in planned.jobs:
        job.run(begin=0, end=size // 2)
        job.run(begin=size // 2, end=size)
    return planned.standing


def check(found: Outcome, standing: Standing, alone: MaskResult, *, unit: int) -> None:
    assert found.fails[unit] == (alone.verdict is Verdict.DOES_NOT_CONFORM)
    assert found.conforms[unit] == (alone.verdict is Verdict.CONFORMS)
    assert found.margin[unit] == pytest.approx(alone.margin, abs=1e-12, nan_ok=True)
    if alone.nearest_hz is None:
        assert np.isnan(found.margin[unit]) or standing.held.these is None
    elif not standing.offset.any() and not math.isclose(alone.margin, 0, abs_tol=1e-9):
        # Aligned, two places may be equally near to the last bit but one.
        assert nearest_hz(standing, unit=unit) == alone.nearest_hz


@given(
    st.sampled_from(["dB", "deg"]).flatmap(
        lambda unit: st.tuples(
            st.lists(curves(unit), min_size=1, max_size=6), st.one_of(st.none(), curves(unit))
        )
    ),
    st.lists(limits(), min_size=1, max_size=3),
    st.booleans(),
    st.sampled_from([None, (100.0, 400.0), (200.0, 20_000.0), (400.0, 400.0)]),
    st.sampled_from([0.0, 0.5, 1.0]),
)
@settings(deadline=None, max_examples=75)
def test_together_is_as_one_by_one(
    units: tuple[list[Curve], Curve | None],
    masks: list[MaskLines],
    align: bool,
    band: tuple[float, float] | None,
    guard: float,
) -> None:
    several, reference = units
    (together,) = gather(several)
    aligner = Aligner(held=columns_of_set(against(together, reference=reference)))
    standing = None
    for mask in masks:  # each after the one before, of which pieces may hold on
        standing = stand(aligner, mask, align=align, band=band, guard=guard, before=standing)
        found = outcome(standing)
        for unit, one in enumerate(several):
            alone = judge_curve(
                one, mask=mask, reference=reference, align=align, align_band_hz=band, guard=guard
            )
            check(found, standing, alone, unit=unit)


numbers = st.builds(
    Number,
    value=values,
    unit=st.sampled_from(["Hz", "Hz", "ohm"]),
    uncertainty=st.one_of(st.none(), st.floats(0, 0.5)),
    k=st.sampled_from([1.0, 2.0]),
    reason=st.sampled_from(["", "", "", "clipped"]),
    is_bound=st.booleans(),
)


@given(
    st.lists(st.one_of(st.none(), numbers), min_size=1, max_size=6),
    st.one_of(st.none(), numbers),
    st.sampled_from([(1.0, -1.0), (1.0, None), (None, -1.0)]),
    st.sampled_from([0.0, 1.0]),
)
@settings(deadline=None, max_examples=150)
def test_numbers_together_are_as_one_by_one(
    several: list[Number | None],
    reference: Number | None,
    sides: tuple[float | None, float | None],
    guard: float,
) -> None:
    mask = MaskLines(upper=sides[0], lower=sides[1])
    aligner = Aligner(held=columns_of_numbers(several, reference=reference))
    standing = stand(aligner, mask, guard=guard)
    found, members = outcome(standing), aligner.held.members.tolist()
    for place, one in enumerate(several):
        if one is None:
            assert place not in members
            continue
        alone = judge_number(one, mask=mask, reference=reference, guard=guard)
        if place in members:
            check(found, standing, alone, unit=members.index(place))
        else:
            assert (alone.verdict, math.isnan(alone.margin)) == (Verdict.NOT_DECIDED, True)


def wide() -> HeldColumns:
    """Forty frequencies, more than a block, of three units."""
    hz = np.geomspace(20, 20_000, 40)
    rng = np.random.default_rng(3)
    (together,) = gather([curve(rng.normal(size=40), hz=hz) for _ in range(3)])
    return columns_of_set(against(together))


def blocks_of(planned: Plan) -> list[list[int]]:
    return [
        [block for block, _ in job.asked] if isinstance(job, PlainJob) else job.blocks.tolist()
        for job in planned.jobs
    ]


def test_a_moved_point_has_only_its_neighbourhood_judged_anew() -> None:
    held = wide()
    points = ((20.0, 4.0), (100.0, 5.0), (1000.0, 3.0), (20_000.0, 4.0))
    lower = tuple((hz, -value) for hz, value in points)
    lines = MaskLines(upper=points, lower=lower)
    first = plan(held, lines=lines, guard=0.0, offset=np.zeros(3), before=None)
    # Upper and lower limit; at their points nothing has to be gone through.
    assert blocks_of(first) == [[0, 0, 1, 1, 2, 2]]
    moved = MaskLines(upper=((20.0, 3.0), *points[1:]), lower=lower)
    second = plan(held, lines=moved, guard=0.0, offset=np.zeros(3), before=first.standing)
    # From 20 to 100 Hz there are ten of the forty frequencies, all in the first block of sixteen;
    # what the lower limit came to holds on everywhere.
    assert blocks_of(second) == [[0]]
    assert [job.asked for job in second.jobs if isinstance(job, PlainJob)] == [((0, "upper"),)]


def test_limits_moved_as_a_whole_are_not_gone_through_again() -> None:
    held = wide()

    def planned_at(by: float, before: Standing | None) -> Plan:
        upper = ((20.0, 1.0 + by), (100.0, 2.5 + by), (20_000.0, 0.3 + by))
        lower = ((20.0, -2.0 - by), (20_000.0, -1.0 - by))
        lines = MaskLines(upper=upper, lower=lower)
        planned = plan(held, lines=lines, guard=0.0, offset=np.zeros(3), before=before)
        for job in planned.jobs:
            job.run(begin=0, end=3)
        return planned

    first = planned_at(0.0, None)
    assert blocks_of(first) == [[0, 0, 1, 1, 2, 2]]
    fresh = [outcome(planned_at(by, None).standing).margin for by in (0.1, 0.7, -0.2)]
    for job in first.jobs:
        job.done()
    for before in (None, first.standing):
        for by, margin in zip((0.1, 0.7, -0.2), fresh, strict=True):
            moved = planned_at(by, before)
            assert not moved.jobs
            np.testing.assert_allclose(outcome(moved.standing).margin, margin, atol=1e-12)


def test_a_hand_that_goes_on_to_another_point_leaves_nothing_of_the_first_behind() -> None:
    held, values, standing = wide(), [1.0, 3.0, 3.0, -3.0], None
    # Each of the two points has a block of its own: as many pieces hold on, and others.
    for point, value in ((0, 0.2), (0, 0.1), (0, 0.9), (3, 2.5), (3, 3.0), (0, 3.0), (3, 2.0)):
        values[point] = value
        lines = MaskLines(upper=tuple(zip((20.0, 100.0, 8000.0, 20_000.0), values, strict=True)))

        def judged(before: Standing | None, lines: MaskLines = lines) -> Standing:
            planned = plan(held, lines=lines, guard=0.0, offset=np.zeros(3), before=before)
            for job in planned.jobs:
                job.run(begin=0, end=3)
            return planned.standing

        standing = judged(standing)
        np.testing.assert_array_equal(outcome(standing).margin, outcome(judged(None)).margin)


def test_under_a_level_limit_only_the_largest_and_smallest_values_are_looked_at() -> None:
    held = wide()
    lines = MaskLines(upper=0.5, lower=-1.0)
    planned = plan(held, lines=lines, guard=0.0, offset=np.zeros(3), before=None)
    assert not planned.jobs
    values = held.own.least
    room = np.minimum(0.5 - values.max(axis=0), values.min(axis=0) + 1.0)
    np.testing.assert_array_equal(outcome(planned.standing).margin, room)


def test_another_guard_holds_nothing_on_and_another_level_all_that_is_plain() -> None:
    held, lines = wide(), MaskLines(upper=4.0, lower=-4.0)

    def again(before: Standing, *, guard: float, offset: float) -> Plan:
        return plan(held, lines=lines, guard=guard, offset=np.full(3, offset), before=before)

    plain = plan(held, lines=lines, guard=0.0, offset=np.zeros(3), before=None).standing
    assert not again(plain, guard=0.0, offset=0.0).jobs
    assert not again(plain, guard=0.0, offset=0.25).jobs
    guarded = again(plain, guard=0.5, offset=0.0)
    assert blocks_of(guarded) == [[0, 1, 2]]
    assert not again(guarded.standing, guard=0.5, offset=0.0).jobs
    assert blocks_of(again(guarded.standing, guard=0.5, offset=0.25)) == [[0, 1, 2]]


def test_shared_out_among_threads_each_unit_is_judged_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rejudging, "_WORTH_SHARING", 0)
    monkeypatch.setattr(rejudging, "_AT_ONCE", 1)
    monkeypatch.setattr("os.cpu_count", lambda: 3)
    sloped = MaskLines(upper=((20.0, 0.0), (20_000.0, 3.0)))
    planned = plan(wide(), lines=sloped, guard=0.0, offset=np.zeros(3), before=None)
    rejudging._run(planned.jobs)
    margins = outcome(planned.standing).margin
    limits = sloped.upper_at(wide().frequency_hz)[:, np.newaxis]
    np.testing.assert_allclose(margins, (limits - wide().own.least).min(axis=0), atol=1e-12)


def test_where_the_margin_is_smallest() -> None:
    (together,) = gather([curve([0, 0.3, -0.75, 0.1, 0]), curve([0, 0.3, -0.75, 1.5, 0])])
    standing = stand(Aligner(held=columns_of_set(against(together))), PLUS_MINUS_1)
    np.testing.assert_allclose(outcome(standing).margin, [0.25, -0.5])
    assert [nearest_hz(standing, unit=unit) for unit in (0, 1)] == [400.0, 800.0]


def test_curves_of_other_frequencies_or_units_make_sets_of_their_own() -> None:
    other = curve([0.0, 0.0], hz=HZ[:2])
    sets = gather([curve([0.0] * 5), None, other, curve([1.0] * 5), curve([1.0] * 5, unit="ohm")])
    assert [one.members.tolist() for one in sets] == [[0, 3], [2], [4]]


def test_a_reference_in_another_unit_is_refused() -> None:
    (together,) = gather([curve([0.0] * 5)])
    with pytest.raises(DspError, match="reference in another unit"):
        against(together, reference=curve([0.0] * 5, unit="ohm"))
