"""Limits proposed from units: they hold the units, and the factors are those of the statistics."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from app.measure.proposal import Proposal, counted, proposed
from app.measure.rejudge import rejudge
from app.measure.trial import Trial
from app.measure.wish import Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from dsp import Curve, Floats
from dsp.conformity.mask import MaskLines
from tests.app.measure.made_trials import made_curves, made_numbers, made_trial
from tests.app.measure.trial_store import HZ, PROCEDURE, trial_of, twenty_units

SPAN = (100.0, 10_000.0)


@pytest.fixture
def trial(tmp_path: Path) -> Iterator[Trial]:
    with twenty_units(tmp_path) as store:
        yield trial_of(store, PROCEDURE)


def new_mask(trial: Trial, name: str, wish: Wish) -> Mask:
    return proposed(trial, rejudge(trial, masks=PROCEDURE.masks).masks[name], wish=wish).mask


def test_mean_and_deviations_of_units_that_were_not_found_bad(trial: Trial) -> None:
    mask = new_mask(trial, "level", Wish(way="sigma", k=3.0, span_hz=SPAN, step=0.001))
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    at = np.array([1000.0])
    # Unit 20 was found bad; the other 19 lie at -0.9 … 0.9 dB, evenly.
    deviation = np.std(np.arange(-9, 10) / 10, ddof=1)
    assert counted(trial) == 19
    assert lines.upper_at(at)[0] == pytest.approx(3 * deviation, abs=0.0011)
    assert lines.lower_at(at)[0] == pytest.approx(-3 * deviation, abs=0.0011)


def test_a_tolerance_interval_has_its_factor(trial: Trial) -> None:
    wish = Wish(way="tolerance", coverage=0.95, confidence=0.95, span_hz=SPAN, step=0.001)
    mask = new_mask(trial, "level", wish)
    deviation = np.std(np.arange(-9, 10) / 10, ddof=1)
    # 19 units, 95 % with 95 %: 2.784 by the exact formula, between 2.96 (15) and 2.76 (20) of
    # table 21.1 of Berthouex and Brown, Statistics for Environmental Engineers, 2002.
    at = MaskLines(upper=mask.upper, lower=mask.lower).upper_at(np.array([1000.0]))[0]
    assert 2.76 * deviation < at < 2.82 * deviation


def test_a_take_and_a_distance(trial: Trial) -> None:
    place = next(n for n, unit in enumerate(trial.units) if unit.serial.endswith("0015"))
    wish = Wish(way="take", unit=place, above=2.0, below=1.0, span_hz=SPAN, series=5)
    mask = new_mask(trial, "level", wish)
    assert isinstance(mask.upper, tuple)
    assert {value for _, value in mask.upper} == {2.5}
    assert isinstance(mask.lower, tuple)
    assert {value for _, value in mask.lower} == {-0.5}
    # ISO 3:1973, R5.
    decade = [100, 160, 250, 400, 630]
    assert [hz for hz, _ in mask.upper] == [*decade, *(10 * hz for hz in decade), 10_000]


def test_a_number_gets_single_limits(trial: Trial) -> None:
    mask = new_mask(trial, "resonance", Wish(way="take", above=2.0, below=3.0, step=0.1, unit=5))
    assert (mask.upper, mask.lower) == (77.0, 72.0)


def test_limits_stay_where_the_units_may_be_believed(trial: Trial) -> None:
    mask = new_mask(trial, "level", Wish(way="sigma", k=3.0, span_hz=(20.0, 20_000.0)))
    assert isinstance(mask.upper, tuple)
    assert mask.upper[0][0] >= 50.0
    assert mask.upper[-1][0] <= 15_000.0


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (Wish(way="sigma", k=0.0), "outside: given 0, allowed above 0 to 20"),
        (Wish(way="tolerance", coverage=1.0), "outside: given 100, allowed 50 to 99.99 %"),
        (Wish(way="take", below=-1.0), "outside: given -1, allowed from 0"),
        (Wish(way="sigma", span_hz=(30_000.0, 40_000.0)), "nothing is known"),
    ],
)
def test_figures_outside_are_refused(trial: Trial, wish: Wish, said: str) -> None:
    with pytest.raises(EditRefusedError, match=said):
        new_mask(trial, "level", wish)


def level_lot(count: int, *, level_db: float = 0.5, shape_db: float = 0.1, bad: int = 0) -> Trial:
    """Good units that differ in level more than in shape, and unnoticed bad ones 5 dB off."""
    rng = np.random.default_rng(count)
    values = level_db * rng.standard_normal((count, 1))
    values = values + shape_db * rng.standard_normal((count, HZ.size))
    values[:bad] += 5.0 * np.exp(-(np.log2(HZ / 5000) ** 2))
    return made_trial(
        curves={"level": made_curves(HZ, values)},
        numbers={"fs_hz": made_numbers(75 + rng.standard_normal(count), unit="Hz")},
    )


def offered(trial: Trial, wish: Wish, *, floor: Floats | None = None) -> Proposal:
    mask = Mask(
        quantity="level", upper=((20.0, 9.0), (2e4, 9.0)), lower=((20.0, -9.0), (2e4, -9.0))
    )
    result = rejudge(trial, masks={"": mask}).masks[""]
    return proposed(trial, result, wish=wish, floor=floor)


def width(found: Proposal, *, hz: float = 1000.0) -> float:
    lines = MaskLines(upper=found.mask.upper, lower=found.mask.lower)
    at = np.array([hz])
    return float(lines.upper_at(at)[0] - lines.lower_at(at)[0])


def test_a_share_of_units_may_fail_and_units_held_out_tell_so() -> None:
    trial = level_lot(200, level_db=0.1, shape_db=0.5)
    two, rare = (
        offered(trial, wish)
        for wish in (
            Wish(way="sigma", k=2.0, step=0.001),
            Wish(way="unit_rate", rate=0.01, step=0.001),
        )
    )
    assert two.held_out is not None
    assert rare.held_out is not None
    # Two deviations hold 95 % at one place, and far fewer units at forty places.
    assert two.held_out.conform.share < 0.5
    assert rare.held_out.conform.share > 0.97
    assert rare.held_out.conform.of == rare.units == 200
    assert rare.k is not None
    assert 3.2 < rare.k < 4.5
    assert "read on from the others" not in " ".join(rare.remarks)
    seldom = offered(trial, Wish(way="unit_rate", rate=0.001))
    assert any("less than one of these 200" in remark for remark in seldom.remarks)


def test_limits_in_and_out_of_a_floating_mask() -> None:
    trial = level_lot(80)
    fixed, floating = (
        offered(trial, Wish(way="sigma", k=3.0, step=0.001, floating=floats))
        for floats in (None, True)
    )
    assert fixed.mask.align is None
    assert floating.mask.align == "level"
    assert floating.mask.align_band_hz == (300.0, 3000.0)
    assert width(floating) < 0.4 * width(fixed)
    assert floating.held_out is not None
    assert floating.held_out.conform.share > 0.8
    one_sided = Mask(quantity="level", upper=((20.0, 9.0), (2e4, 9.0)))
    result = rejudge(trial, masks={"": one_sided}).masks[""]
    with pytest.raises(EditRefusedError, match="no middle to take the level from"):
        proposed(trial, result, wish=Wish(way="sigma", floating=True))


def test_unnoticed_bad_units_do_not_widen_robust_limits() -> None:
    clean, spoilt = level_lot(120), level_lot(120, bad=8)
    for way in ("sigma", "unit_rate"):
        plain, robust = (
            width(offered(spoilt, Wish(way=way, k=4.0, robust=robust)), hz=5000.0)
            for robust in (False, True)
        )
        usual = width(offered(clean, Wish(way=way, k=4.0)), hz=5000.0)
        assert plain > 1.6 * usual
        assert robust < 1.35 * usual
    found = offered(spoilt, Wish(way="unit_rate", robust=True))
    assert found.remarks[0] == "8 units were set aside as too far from the rest"


def test_ordered_units_are_the_limits_and_say_what_they_hold() -> None:
    trial = level_lot(100)
    found = offered(trial, Wish(way="percentile", coverage=0.95, confidence=0.95, step=0.001))
    enough = offered(level_lot(30), Wish(way="percentile", coverage=0.95, confidence=0.95))
    assert found.remarks == ()
    # ISO 16269-6: 93 units for 95 % with 95 %; 30 give 1 - 30 * 0.95^29 + 29 * 0.95^30 = 44.6 %.
    assert "with 44.6 % confidence only; 93 would do" in enough.remarks[0]
    values = np.sort([one.value for one in trial.numbers["fs_hz"] if one is not None])
    mask = Mask(quantity="fs_hz", upper=100.0, lower=50.0)
    result = rejudge(trial, masks={"": mask}).masks[""]
    wish = Wish(way="percentile", coverage=0.95, confidence=0.95, step=1e-6)
    number = proposed(trial, result, wish=wish).mask
    assert (number.lower, number.upper) == pytest.approx((values[0], values[-1]), abs=2e-6)


def test_what_the_gauge_cannot_tell_apart_is_no_limit() -> None:
    trial = level_lot(40, level_db=0.0, shape_db=0.01)
    found = offered(trial, Wish(way="sigma", k=3.0, floor=0.2, step=0.001))
    assert width(found) == pytest.approx(2 * 3 * 0.2, abs=0.05)
    assert "differ less than the gauge" in found.remarks[0]
    ordered = offered(trial, Wish(way="percentile", floor=0.2, step=0.001))
    assert width(ordered) == pytest.approx(2 * 3 * 0.2, abs=0.05)
    over_frequency = offered(
        trial, Wish(way="sigma", k=3.0, step=0.001), floor=np.where(HZ > 2000, 0.3, 0.0)
    )
    assert width(over_frequency, hz=5000.0) > 10 * width(over_frequency, hz=200.0)


def test_held_out_units_had_no_part_in_their_limits() -> None:
    trial = level_lot(20)
    mask = Mask(quantity="fs_hz", upper=100.0, lower=50.0)
    result = rejudge(trial, masks={"": mask}).masks[""]
    found = proposed(trial, result, wish=Wish(way="percentile", step=1e-6))
    assert rejudge(trial, masks={"": found.mask}).conforms.all()
    # Smallest and largest are the limits; without them they lie outside.
    assert found.held_out is not None
    assert (found.held_out.conform.count, found.held_out.fail.count) == (18, 2)


def test_what_lies_beyond_the_mask_does_not_widen_it() -> None:
    rng = np.random.default_rng(10)
    values = 0.3 * rng.standard_normal((60, HZ.size))
    spoilt = values.copy()
    spoilt[:, HZ < 100] = rng.standard_t(1, size=(60, int((HZ < 100).sum())))
    wish = Wish(way="unit_rate", rate=0.01, span_hz=SPAN)
    clean, wild = (
        offered(made_trial(curves={"level": made_curves(HZ, one)}), wish)
        for one in (values, spoilt)
    )
    assert wild.k == pytest.approx(clean.k)


def test_one_unit_alone_draws_no_limit_and_no_study_is_no_floor() -> None:
    values = np.random.default_rng(12).standard_normal((20, HZ.size))
    values[1:, HZ > 5000] = np.nan
    trial = made_trial(curves={"level": made_curves(HZ, values)})
    for way in ("sigma", "unit_rate", "percentile"):
        found = offered(trial, Wish(way=way), floor=np.where(HZ > 1000, np.nan, 0.0))
        assert isinstance(found.mask.upper, tuple)
        assert 4000 < found.mask.upper[-1][0] <= 5000


def test_units_without_the_curve_are_not_held_out() -> None:
    curves: list[Curve | None] = [None] * 6
    curves += made_curves(HZ, np.random.default_rng(14).standard_normal((12, HZ.size)))
    found = offered(made_trial(curves={"level": curves}), Wish(way="sigma"))
    assert found.held_out is not None
    assert (found.units, found.held_out.conform.of) == (12, 12)


def test_a_few_units_are_not_held_out() -> None:
    assert offered(level_lot(3), Wish(way="sigma")).held_out is None


def test_limits_that_ask_too_much_of_the_gauge_are_told() -> None:
    rng = np.random.default_rng(9)
    trial = made_trial(
        curves={"level": made_curves(HZ, rng.standard_normal((40, HZ.size)), uncertainty=2.0)}
    )
    found = offered(trial, Wish(way="sigma", k=3.0))
    assert any("the gauge is too coarse for this limit" in remark for remark in found.remarks)
    wide = offered(trial, Wish(way="sigma", k=12.0))
    assert wide.remarks == ()
