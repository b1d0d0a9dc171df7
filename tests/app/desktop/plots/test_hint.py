"""What an empty plot says stands beside its masks, not upon them."""

import numpy as np
import pytest

from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.hint import free_height
from app.desktop.plots.mask import PlotMask

FRAME = Frame(
    left=44, top=6, width=600, height=200, x=Span(low=1.3, high=4.3), y=Span(low=0, high=100)
)
SPAN = (250.0, 430.0)


def limit(value: float, *, hz: tuple[float, ...] = ()) -> PlotMask:
    values = np.full(max(len(hz), 1), value)
    return PlotMask(name="level", sense="upper", hz=np.array(hz), values=values)


def test_without_masks_it_stands_a_little_below_the_middle() -> None:
    assert free_height(FRAME, [], span=SPAN) == pytest.approx(6 + 0.6 * 200)


@pytest.mark.parametrize("value", [30.0, 40.0, 45.0, 50.0])
def test_it_keeps_away_from_a_mask(value: float) -> None:
    height = free_height(FRAME, [limit(value), limit(value - 5)], span=SPAN)
    for taken in (value, value - 5):
        assert abs(height - FRAME.py_of(taken)) >= 20


def test_a_mask_that_ends_before_the_words_is_not_in_their_way() -> None:
    height = free_height(FRAME, [limit(40.0, hz=(20.0, 40.0))], span=SPAN)
    assert height == pytest.approx(6 + 0.6 * 200)
