"""Limits proposed from units: they hold the units, and the factors are those of the statistics."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from app.measure.proposal import counted, proposed
from app.measure.rejudge import rejudge
from app.measure.trial import Trial
from app.measure.wish import Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from dsp.conformity.mask import MaskLines
from tests.app.measure.trial_store import PROCEDURE, trial_of, twenty_units

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
