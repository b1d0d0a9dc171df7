"""The cost of moved limits is what judging every unit again under each of them would count."""

from dataclasses import replace

import numpy as np
import pytest

from app.measure.compare_trials import compare
from app.measure.cost_curve import CostCurve, cost_curve
from app.measure.rates import rates
from app.measure.rejudge import rejudge
from app.measure.trial import Trial
from app.procedure.edit_masks import EditRefusedError, offset
from app.procedure.mask_schema import Mask
from dsp import ValidRange
from tests.app.measure.made_trials import Mark, made_curves, made_numbers, made_trial

HZ = np.geomspace(100.0, 10_000.0, 31)
LEVEL = Mask(
    quantity="level",
    upper=((100.0, 2.0), (1000.0, 1.5), (10_000.0, 3.0)),
    lower=((100.0, -2.0), (10_000.0, -2.5)),
)
RESONANCE = Mask(quantity="fs_hz", upper=80.0, lower=70.0)


def lot(good: int = 60, bad: int = 12, unknown: int = 8, *, bounds: bool = False) -> Trial:
    """Good units about 0 dB by 0.7 dB, bad ones with a bump; some hidden by noise if wanted."""
    rng = np.random.default_rng(21)
    count = good + bad + unknown
    values = 0.7 * rng.standard_normal((count, 1)) + 0.3 * rng.standard_normal((count, HZ.size))
    values[good : good + bad] += 2.5 * np.exp(-(np.log2(HZ / 2000) ** 2))
    curves = made_curves(HZ, values, uncertainty=0.3)
    if bounds:
        curves = [
            replace(one, is_bound=rng.random(HZ.size) < 0.02, uncertainty=np.full(HZ.size, 0.3))
            for one in curves
        ]
    kinds: tuple[Mark | None, ...] = ("good", "bad", None)
    marks = [mark for mark, of in zip(kinds, (good, bad, unknown), strict=True) for _ in range(of)]
    return made_trial(
        curves={"level": curves},
        numbers={"fs_hz": made_numbers(75 + 2.5 * rng.standard_normal(count), unit="Hz")},
        marks=marks,
    )


def curve(trial: Trial, mask: Mask = LEVEL, **more: float | None) -> CostCurve:
    return cost_curve(
        trial,
        {"level": mask, "resonance": RESONANCE},
        escape_cost=200.0,
        false_reject_cost=6.0,
        offsets=np.arange(-9, 22, 3) / 10,
        bad_share=more.get("bad_share"),
    )


@pytest.mark.parametrize("guard", [0.0, 1.0])
@pytest.mark.parametrize("bounds", [False, True])
@pytest.mark.parametrize("align", [None, "level"])
def test_each_offset_counts_what_judging_again_counts(
    guard: float, bounds: bool, align: str | None
) -> None:
    trial = lot(bounds=bounds)
    mask = LEVEL.model_copy(update={"guard": guard, "align": align})
    found = curve(trial, mask)
    now = rejudge(trial, masks={"level": mask, "resonance": RESONANCE})
    assert found.moved == ("level",)
    for place, by in enumerate(found.offset):
        moved = offset(mask, upper_by=float(by), lower_by=-float(by))
        draft = rejudge(trial, masks={"level": moved, "resonance": RESONANCE})
        counted = compare(trial, now=now, draft=draft)
        assert found.escapes[place] == counted.escapes
        assert found.passing[place] == pytest.approx(draft.yielded)
        assert found.false_rejects[place] == counted.false_rejects


def test_a_unit_that_cannot_show_all_that_is_asked_passes_at_no_offset() -> None:
    narrow = ValidRange(low_hz=200.0, high_hz=10_000.0, low_reason="gate")
    curves = [
        replace(one, valid=narrow) if place == 1 else one
        for place, one in enumerate(made_curves(HZ, np.zeros((3, HZ.size)), uncertainty=0.3))
    ]
    trial = made_trial(curves={"level": curves}, marks=["bad", "bad", "good"])
    found = cost_curve(trial, {"level": LEVEL}, escape_cost=1.0, false_reject_cost=1.0)
    assert found.escapes.max() == 1
    assert found.passing.max() == pytest.approx(2 / 3)


def test_cost_weighs_both_mistakes_and_the_best_costs_least() -> None:
    found = curve(lot())
    assert (found.bad, found.good) == (12, 60)
    assert found.bad_share == pytest.approx(1 / 6)
    # Of 1000 units a sixth is bad: 200 for each escape, 6 for each false reject.
    escaped, stopped = found.escapes / 12, found.false_rejects / 60
    np.testing.assert_allclose(found.cost, 1000 / 6 * escaped * 200 + 5000 / 6 * stopped * 6)
    assert found.best is not None
    assert found.best.cost == pytest.approx(found.cost.min())
    assert found.best.low <= found.best.offset <= found.best.high
    assert found.now.escapes.count == found.escapes[np.argmin(np.abs(found.offset))]


def test_rarer_bad_units_ask_for_wider_limits() -> None:
    often, seldom = curve(lot()), curve(lot(), bad_share=0.001)
    assert often.best is not None
    assert seldom.best is not None
    assert seldom.best.offset > often.best.offset


def test_more_inspected_units_narrow_the_best_offset() -> None:
    few, many = curve(lot(20, 6)), curve(lot(900, 270))
    assert few.best is not None
    assert many.best is not None
    assert many.best.high - many.best.low < few.best.high - few.best.low


def test_without_bad_units_there_is_no_best() -> None:
    found = curve(lot(60, 0))
    assert found.best is None
    assert np.isnan(found.cost).all()
    assert found.now.words[0].startswith("No unit is marked bad")


def test_what_a_count_proves_stands_in_words() -> None:
    # C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404: 0 of 30, 95 %: 0 to 11.57 %.
    found = rates(escapes=0, bad=30, false_rejects=3, good=100)
    assert found.words == (
        "None of 30 bad units passes, which proves no more than that at most 11.6 % of bad units "
        "pass.",
        "3 of 100 good units are stopped: 0.6 % to 8.5 % of good units.",
    )


def test_one_offset_cannot_move_ohms_and_decibels() -> None:
    masks = {"level": LEVEL, "resonance": RESONANCE}
    with pytest.raises(EditRefusedError, match="masks in different units"):
        cost_curve(lot(), masks, escape_cost=1, false_reject_cost=1, moved=("level", "resonance"))
    with pytest.raises(EditRefusedError, match="no mask to move"):
        cost_curve(lot(), masks, escape_cost=1, false_reject_cost=1, moved=("thd",))
    with pytest.raises(EditRefusedError, match="outside: given -1"):
        cost_curve(lot(), masks, escape_cost=-1, false_reject_cost=1)
