"""A bound is what a figure is at most: never written lower than it is, nor finer than known."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.report.rounding import bound_text


@pytest.mark.parametrize(
    ("value", "unit", "places", "text"),
    [
        (-33.0341, "dB", None, "≤ −33.0"),
        (-2.0791, "dB", None, "≤ −2.0"),
        (-58.991, "dB re 20 µPa", None, "≤ −58.9"),
        (0.055612, "1", None, "≤ 0.0557"),
        (1234.5, "Hz", None, "≤ 1235"),
        (-52.6, "dB", 0, "≤ −52"),
        (-0.04, "dB", None, "≤ 0.0"),
        (0.0, "1", None, "≤ 0"),
        (math.nan, "dB", None, "—"),
    ],
)
def test_a_bound_is_rounded_upwards(value: float, unit: str, places: int | None, text: str) -> None:
    assert bound_text(value, unit=unit, places=places) == text


@given(value=st.floats(-200, 200), unit=st.sampled_from(["dB", "1"]))
def test_what_is_written_is_true(value: float, unit: str) -> None:
    written = bound_text(value, unit=unit)
    assert float(re.sub("≤ ", "", written).replace("−", "-")) >= value - 1e-6
