"""Figures of lots and weeks, charts, and the choice of a reference unit, counted by hand."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.stats import binomtest

from app.errors import BadInputError
from app.measure.band_values import _means
from app.measure.lot_chart import lot_chart
from app.measure.lot_figures import lot_figures
from app.measure.reference_choice import choose_reference
from app.procedure.mask_schema import Mask
from app.records.store import Store
from app.records.take import Finding, Take
from dsp.conformity.curve_set import gather
from dsp.conformity.verdict import MaskResult, Verdict
from tests.app.measure.made_trials import made_curves, made_numbers, made_trial
from tests.app.measure.trial_store import PROCEDURE, keep, unit_take

CONFORMS = MaskResult(verdict=Verdict.CONFORMS, margin=1.0)
FAILS = MaskResult(verdict=Verdict.DOES_NOT_CONFORM, margin=-1.0)
OPEN = MaskResult(verdict=Verdict.NOT_DECIDED, margin=0.1, reason="within the guard band")
WEAK = Finding(cause="weak magnet", confidence=0.7, because=())
STIFF = Finding(cause="stiff suspension", confidence=0.2, because=())


def judged(number: int, *, level: MaskResult, fs: MaskResult, days: int = 0) -> Take:
    verdicts = {level.verdict, fs.verdict}
    verdict = next(
        one
        for one in (Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED, Verdict.CONFORMS)
        if one in verdicts
    )
    take = unit_take(number, offset=0.1 * number, fs_hz=75.0 + 0.5 * (number % 4))
    return replace(
        take,
        lot="T4-W31" if number <= 6 else "T4-W32",
        started_utc=take.started_utc + timedelta(days=days),
        masks={"level": level, "resonance": fs},
        verdict=verdict,
        findings=() if verdict is Verdict.CONFORMS else (STIFF, WEAK),
    )


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Twelve units: 3 and 4 fail by level, 4 by resonance too, 8 is open; 3 passes when retaken."""
    with Store.open(tmp_path_factory.mktemp("lots") / "records.sqlite") as made:
        for number in range(1, 13):
            take = judged(
                number,
                level=FAILS if number in {3, 4} else OPEN if number == 8 else CONFORMS,
                fs=FAILS if number == 4 else CONFORMS,
                days=7 if number > 6 else 0,
            )
            keep(made, take, number=number)
        again = judged(3, level=CONFORMS, fs=CONFORMS, days=1)
        keep(made, replace(again, id="e" * 32), number=3)
        derived = judged(5, level=FAILS, fs=FAILS, days=-1)
        first = made.find(serial="T4-W31-0005")[0].id
        keep(made, replace(derived, id="f" * 32, derived_from=first), number=5)
        yield made


def test_what_passes_at_once_is_counted_lot_by_lot(store: Store) -> None:
    found = lot_figures(store, procedure="line-check")
    first, second = found.groups
    assert (first.name, first.units, first.first_pass.count) == ("T4-W31", 6, 4)
    assert (second.name, second.first_pass.count, second.undecided) == ("T4-W32", 5, 1)
    assert [(bar.name, bar.count, bar.share) for bar in first.masks] == [
        ("level", 2, 1.0),
        ("resonance", 1, 0.5),
    ]
    assert first.masks[1].running == 1.0
    assert first.masks[0].running == pytest.approx(2 / 3)
    assert [(bar.name, bar.count) for bar in first.findings] == [("weak magnet", 2)]
    assert second.masks == ()
    assert found.total is not None
    assert (found.total.first_pass.count, found.total.units) == (9, 12)
    first_pass = found.total.first_pass
    witness = binomtest(9, 12).proportion_ci(0.95, method="exact")
    assert (first_pass.low, first_pass.high) == pytest.approx((witness.low, witness.high))
    assert found.chart is not None
    assert found.chart.centre == pytest.approx(3 / 12)


def test_weeks_are_those_of_iso_8601(store: Store) -> None:
    # 27 July 2026 is the Monday of week 31.
    found = lot_figures(store, procedure="line-check", by="week")
    assert [one.name for one in found.groups] == ["2026-W31", "2026-W32"]
    only = lot_figures(store, procedure="line-check", lot="T4-W32")
    assert [one.units for one in only.groups] == [6]
    assert only.chart is None
    none = lot_figures(store, procedure="nobody's")
    assert (none.groups, none.total) == ((), None)


def test_a_band_of_a_curve_is_charted_unit_by_unit(store: Store) -> None:
    found = lot_chart(
        store,
        procedure="line-check",
        quantity="level",
        band_hz=(300.0, 3000.0),
        mask=PROCEDURE.masks["level"],
    )
    np.testing.assert_allclose(found.chart.value, 0.1 * np.arange(1, 13))
    assert found.chart.trends.sum() == 12 - 5
    assert (found.upper, found.lower) == (3.0, -3.0)
    assert found.capability is not None
    deviation = 0.1 * np.std(np.arange(1, 13), ddof=1)
    assert found.capability.cp == pytest.approx(6 / (6 * deviation))
    assert found.capability.cpk == pytest.approx((3 - 0.65) / (3 * deviation))


def test_a_band_s_mean_is_that_over_log_f() -> None:
    hz = np.array([100.0, 200.0, 220.0, 240.0, 800.0])
    values = np.array([[0.0, 0.0, 0.0, 0.0, 6.0], [1.0, 1.0, np.nan, 1.0, 1.0]])
    (one,) = gather(made_curves(hz, values))
    whole, gap = _means(one, band_hz=(100.0, 800.0))
    weight = np.gradient(np.log(hz))
    assert whole == pytest.approx(6 * weight[4] / weight.sum())
    assert np.isnan(gap)
    assert np.isnan(_means(one, band_hz=(50.0, 800.0))).all()
    assert np.isnan(_means(one, band_hz=(300.0, 400.0))).all()


def test_lots_and_subgroups_are_points_too(store: Store) -> None:
    lots = lot_chart(store, procedure="line-check", quantity="level", points="lot")
    assert [one.name for one in lots.points] == ["T4-W31", "T4-W32"]
    np.testing.assert_allclose(lots.chart.value, [0.35, 0.95])
    assert lots.points[0].deviation == pytest.approx(0.1 * np.std(np.arange(6), ddof=1))
    five = lot_chart(store, procedure="line-check", quantity="fs_hz", points="subgroup")
    assert len(five.points) == 2  # two units are left over
    assert five.ranges is not None
    np.testing.assert_allclose(five.ranges.value, 1.5)


def test_what_cannot_be_charted_is_refused(store: Store) -> None:
    with pytest.raises(BadInputError, match="too few points"):
        lot_chart(store, procedure="line-check", quantity="qts")
    about = Mask(quantity="fs_hz", upper=80.0)
    with pytest.raises(BadInputError, match="about something else"):
        lot_chart(store, procedure="line-check", quantity="level", mask=about)


def test_the_unit_nearest_to_the_middle_is_chosen() -> None:
    hz = np.geomspace(100.0, 10_000.0, 20)
    rng = np.random.default_rng(5)
    values = rng.standard_normal((30, 1)) + 0.3 * rng.standard_normal((30, 20))
    values[7] = np.median(values, axis=0) + 0.01
    values[3, 15] += 12.0
    fs = 75 + rng.standard_normal(30)
    fs[7] = np.median(fs)
    trial = made_trial(
        curves={"level": made_curves(hz, values)},
        numbers={"fs_hz": made_numbers(fs, unit="Hz")},
        marks=["bad" if unit == 9 else None for unit in range(30)],
    )
    found = choose_reference(trial)
    assert found.best.unit == 7
    assert found.best.distance < 0.1
    assert len(found.ranking) == 29
    assert 9 not in {one.unit for one in found.ranking}
    odd = next(one for one in found.ranking if one.unit == 3)
    assert odd.worst == "level"
    assert odd.worst_hz == pytest.approx(hz[15])
    assert odd.worst_distance > 8
    assert np.mean([one.distance for one in found.ranking]) == pytest.approx(1.0, abs=0.4)


def test_four_units_have_no_middle() -> None:
    trial = made_trial(numbers={"fs_hz": made_numbers(np.arange(4.0), unit="Hz")})
    with pytest.raises(BadInputError, match="too few units"):
        choose_reference(trial)
