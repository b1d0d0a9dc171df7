"""Ratios in per cent stand on a scale of decibels, and limits on it where they are judged."""

import numpy as np
import pytest

from app.desktop.presenters.limits_plot import limit_lines
from app.desktop.presenters.limits_point import Chosen
from app.desktop.presenters.limits_range import value_range
from app.desktop.presenters.limits_scale import scale_of
from app.procedure.mask_schema import Mask
from dsp.conformity.mask import MaskLines

THD = Mask(quantity="thd", upper=((100.0, 1.0), (1000.0, 0.1)))
LEVEL = Mask(quantity="level", upper=((100.0, 1.0), (1000.0, 0.1)))


def test_handles_stand_at_the_points_and_the_line_where_it_is_judged() -> None:
    (line,) = limit_lines(THD, before=None, chosen=Chosen(side="upper", index=1), broken_by=())
    np.testing.assert_allclose(line.values, [-40.0, -60.0])  # 1 % and 0.1 % are -40 and -60 dB
    at = np.array([150.0, 300.0, 700.0])
    judged = MaskLines(upper=THD.upper).upper_at(at)
    np.testing.assert_allclose(line.at(at), 20 * np.log10(judged / 100), atol=0.02)
    assert line.chosen == 1


def test_levels_stand_as_they_are() -> None:
    (line,) = limit_lines(LEVEL, before=None, chosen=None, broken_by=())
    np.testing.assert_allclose(line.values, [1.0, 0.1])
    assert line.course is None


def test_what_is_dragged_is_a_figure_again() -> None:
    scale = scale_of(THD)
    assert scale.figure(-46.0) == pytest.approx(0.5012, abs=1e-4)
    assert scale.step("thd", near=0.5) == pytest.approx(0.01)
    assert scale.step("thd", near=12.0) == pytest.approx(1.0)
    assert scale_of(LEVEL).figure(-46.0) == -46.0
    assert scale_of(LEVEL).step("level", near=0.5) == 0.1


def test_the_axis_reaches_below_the_least_limit_and_never_to_nothing() -> None:
    found = value_range((THD,), held=None, spread=None)
    assert found is not None
    low, high = found
    assert -75 < low < -60
    assert -40 < high < -38


def test_differences_of_ratios_stay_in_per_cent() -> None:
    relative = THD.model_copy(update={"relative_to": "reference"})
    assert not scale_of(relative).is_per_cent
