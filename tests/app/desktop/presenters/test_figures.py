"""A value is never wider than its interval, and an interval never smaller than it is.

The rule is EA-4/02 M:2022, 6.3: at most two significant digits of the expanded uncertainty, the
value to the same place, and an interval that rounding would shrink by more than 5 % rounded up.
"""

import math
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.presenters.figures import (
    NONE,
    age_text,
    fact_of,
    hz_text,
    interval_text,
    minus,
    value_text,
    with_unit,
)
from app.report.units import short_unit

INTERVALS = st.floats(1e-6, 1e6)


def as_float(text: str) -> float:
    return float(text.replace("−", "-").replace("\N{NO-BREAK SPACE}", "").removeprefix("±"))


@given(interval=INTERVALS)
def test_an_interval_is_never_told_more_than_a_twentieth_too_small(interval: float) -> None:
    assert as_float(interval_text(interval)) >= 0.95 * interval * (1 - 1e-12)


@given(interval=INTERVALS)
def test_an_interval_is_never_told_a_third_too_large(interval: float) -> None:
    # One digit of at least 3 is rounded up by less than 1 in 3.
    assert as_float(interval_text(interval)) <= interval * 4 / 3 * (1 + 1e-12)


@given(value=st.floats(-1e5, 1e5), interval=st.floats(1e-4, 1e3))
def test_value_and_interval_end_at_the_same_place(value: float, interval: float) -> None:
    shown, sure = value_text(value, interval), interval_text(interval)
    assert len(shown.partition(".")[2]) == len(sure.partition(".")[2])
    assert abs(as_float(shown) - value) <= as_float(sure) / 2 + 1e-9


@pytest.mark.parametrize(
    ("value", "interval", "shown", "sure"),
    [
        (87.5123, 0.3123, "87.5", "±0.3"),
        (87.5123, 0.349, "87.5", "±0.4"),  # 0.3 would hide 14 % of it
        (12.5512, 0.2210, "12.55", "±0.22"),
        (0.80213, 0.0094, "0.802", "±0.009"),
        (-71.04, 2.04, "−71.0", "±2.0"),
        (12345.6, 230.0, "12\N{NO-BREAK SPACE}350", "±230"),
        (-0.04, 0.5, "0.0", "±0.5"),
    ],
)
def test_places(value: float, interval: float, shown: str, sure: str) -> None:
    assert (value_text(value, interval), interval_text(interval)) == (shown, sure)


@pytest.mark.parametrize("value", [None, math.nan, math.inf])
def test_nothing_is_a_dash_not_a_zero(value: float | None) -> None:
    fact = fact_of("Vas", value, 0.3, unit="l")
    assert (fact.value, fact.interval) == (NONE, "")


def test_a_value_without_interval_has_four_digits_at_most() -> None:
    assert value_text(3.14159265) == "3.142"
    assert value_text(2.830) == "2.83"
    assert value_text(0.0) == "0"
    assert value_text(3.0, signed=True) == "+3"


@pytest.mark.parametrize(
    ("hz", "text"),
    [
        (75.24, "75.2 Hz"),
        (210.0, "210 Hz"),
        (999.6, "1 kHz"),
        (1250.0, "1.25 kHz"),
        (20_000.0, "20 kHz"),
        (math.nan, NONE),
    ],
)
def test_frequencies(hz: float, text: str) -> None:
    assert hz_text(hz) == text


def test_a_hyphen_in_a_serial_is_no_minus() -> None:
    assert minus("T4-W31-0417 at -3.5 dB") == "T4-W31-0417 at −3.5 dB"


def test_units_stand_short() -> None:
    assert short_unit("dB re 20 µPa") == "dB"
    assert short_unit("ohm") == "Ω"
    assert short_unit("1") == ""
    assert with_unit("8", "deg") == "8°"
    assert with_unit("8", "ohm") == "8 Ω"


@pytest.mark.parametrize(
    ("age", "text"),
    [
        (timedelta(seconds=20), "now"),
        (timedelta(minutes=12), "12 min"),
        (timedelta(hours=5, minutes=59), "5 h"),
        (3.9, "3 d"),
    ],
)
def test_ages(age: timedelta | float, text: str) -> None:
    assert age_text(age) == text
