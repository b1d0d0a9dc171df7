"""Risks of a mask: as many units change sides as takes of the same units would, made again."""

import numpy as np
import pytest

from app.measure.rejudge import rejudge
from app.measure.risks import MaskRisks, mask_risks
from app.measure.trial import Trial
from app.procedure.mask_schema import Mask
from dsp import Floats
from tests.app.measure.made_trials import Mark, made_curves, made_numbers, made_trial

HZ = np.geomspace(100.0, 10_000.0, 12)
U = 0.6  # expanded


def levels(count: int) -> Floats:
    rng = np.random.default_rng(4)
    return np.asarray(rng.standard_normal((count, 1)) + 0.2 * rng.standard_normal((count, HZ.size)))


def mask(*, half: float = 2.2, guard: float = 0.0) -> Mask:
    ends = (100.0, 10_000.0)
    return Mask(
        quantity="level",
        upper=tuple((hz, half) for hz in ends),
        lower=tuple((hz, -half) for hz in ends),
        guard=guard,
    )


def risks_of(trial: Trial, one: Mask) -> MaskRisks:
    return mask_risks(trial, rejudge(trial, masks={"": one}).masks[""])


@pytest.mark.parametrize("guard", [0.0, 0.5, 1.0])
def test_takes_made_again_are_sorted_as_wrongly_as_told(guard: float) -> None:
    true = levels(2000)
    told = risks_of(
        made_trial(curves={"level": made_curves(HZ, true, uncertainty=U)}), mask(guard=guard)
    )
    # The same units again, each with one error alike at all frequencies (JCGM 106:2012, 9.5).
    again = true + U / 2 * np.random.default_rng(5).standard_normal((2000, 1))
    judged = rejudge(
        made_trial(curves={"level": made_curves(HZ, again, uncertainty=U)}),
        masks={"": mask(guard=guard)},
    )
    bad = (np.abs(true) > 2.2).any(axis=1)
    for counted, risk in (
        ((bad & judged.conforms).mean(), told.consumer),
        ((~bad & ~judged.conforms).mean(), told.producer),
        ((judged.conforms | judged.fails).mean(), told.decided),
    ):
        spread = np.sqrt(risk * (1 - risk) / 2000)
        assert counted == pytest.approx(risk, abs=4 * spread + 1e-3)


def test_each_place_has_the_risks_of_a_normal_product() -> None:
    # D. Deaver (1994): limits at two deviations, 4 times the uncertainty: 0.80 % and 1.49 %.
    rng = np.random.default_rng(6)
    values = rng.standard_normal((500, HZ.size))
    values = (values - values.mean(axis=0)) / values.std(axis=0, ddof=1)
    trial = made_trial(curves={"level": made_curves(HZ, values, uncertainty=0.5)})
    over = risks_of(trial, mask(half=2.0)).over
    assert over is not None
    np.testing.assert_allclose(100 * over.consumer, 0.8006, atol=1e-3)
    np.testing.assert_allclose(100 * over.producer, 1.4851, atol=1e-3)
    np.testing.assert_allclose(over.tolerance_over_uncertainty, 4.0)


@pytest.mark.parametrize(
    ("half", "guard", "said"),
    [
        (6.0, 0.0, ""),
        (1.5, 0.0, "the gauge is too coarse for this limit: tolerance 2.5 times"),
        (0.5, 1.0, "the guard bands leave no room"),
    ],
)
def test_a_gauge_too_coarse_for_its_limit_is_told(half: float, guard: float, said: str) -> None:
    trial = made_trial(curves={"level": made_curves(HZ, levels(50), uncertainty=U)})
    found = risks_of(trial, mask(half=half, guard=guard))
    assert found.remark.startswith(said)
    assert bool(found.remark) == bool(said)
    assert found.over_uncertainty == pytest.approx(half / U)
    assert found.uncertainty == pytest.approx(U)


def test_a_number_has_risks_too() -> None:
    values = np.random.default_rng(7).normal(75.0, 2.0, size=400)
    trial = made_trial(numbers={"fs_hz": made_numbers(values, unit="Hz", uncertainty=1.0)})
    found = risks_of(trial, Mask(quantity="fs_hz", upper=79.0))
    again = values + 0.5 * np.random.default_rng(8).standard_normal((500, 400))
    assert found.consumer == pytest.approx(np.mean((values > 79) & (again <= 79)), rel=0.1)
    assert found.producer == pytest.approx(np.mean((values <= 79) & (again > 79)), rel=0.1)
    assert found.worst_hz is None
    assert found.over_uncertainty == pytest.approx(79.0 - values.mean(), rel=1e-6)


def test_bad_units_do_not_widen_what_is_usual() -> None:
    values = levels(60)
    values[:5] += 20.0
    marks: list[Mark | None] = ["bad" if unit < 5 else None for unit in range(60)]
    every = made_trial(curves={"level": made_curves(HZ, values, uncertainty=U)}, marks=marks)
    good = made_trial(curves={"level": made_curves(HZ, values[5:], uncertainty=U)})
    with_bad, without = risks_of(every, mask()).over, risks_of(good, mask()).over
    assert with_bad is not None
    assert without is not None
    np.testing.assert_allclose(with_bad.producer, without.producer)


def test_without_an_uncertainty_nothing_is_told() -> None:
    trial = made_trial(curves={"level": made_curves(HZ, levels(50))})
    found = risks_of(trial, mask())
    assert np.isnan(found.producer)
    assert found.over is None
    assert "not known" in found.remark


def test_a_guard_band_is_found_for_the_consumer_s_risk() -> None:
    trial = made_trial(curves={"level": made_curves(HZ, levels(500), uncertainty=U)})
    by_guard = risks_of(trial, mask()).by_guard
    assert by_guard is not None
    assert (np.diff(by_guard.consumer) < 0).all()
    assert (np.diff(by_guard.producer) > 0).all()
    wanted = by_guard.least_for(0.002)
    assert wanted is not None
    assert 0 < wanted < 1
    assert risks_of(trial, mask(guard=wanted)).consumer <= 0.002
    assert risks_of(trial, mask(guard=wanted - 0.05)).consumer > 0.002
    assert by_guard.least_for(0.0) is None
