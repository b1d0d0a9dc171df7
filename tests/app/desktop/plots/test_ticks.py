"""Axes are written at preferred frequencies and round steps."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.plots.frame import Span
from app.desktop.plots.ticks import (
    degree_ticks,
    frequency_ticks,
    hz_word,
    per_cent_ticks,
    round_step,
    value_ticks,
)


def log_span(low_hz: float, high_hz: float) -> Span:
    return Span(low=math.log10(low_hz), high=math.log10(high_hz))


def test_the_audible_range_has_ten_words_with_both_ends() -> None:
    # As written on the scale of IEC 60263: 1, 2 and 5 in each decade.
    ticks = frequency_ticks(log_span(20, 20_000))
    assert ticks.words == ("20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k")


def test_the_other_digits_have_lines_without_words() -> None:
    ticks = frequency_ticks(log_span(20, 20_000))
    hz = [round(10**place) for place in ticks.minor]
    assert hz[:6] == [30, 40, 60, 70, 80, 90]
    assert not set(ticks.minor) & set(ticks.labelled)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (200, 500, ("200", "300", "400", "500")),
        (1000, 1100, ("1k", "1.02k", "1.04k", "1.06k", "1.08k", "1.1k")),
    ],
)
def test_zoomed_in_there_are_still_words(low: float, high: float, words: tuple[str, ...]) -> None:
    assert frequency_ticks(log_span(low, high)).words == words


@given(low=st.floats(20, 15_000), ratio=st.floats(1.12, 1000))
def test_every_range_has_at_least_three_words_and_each_once(low: float, ratio: float) -> None:
    ticks = frequency_ticks(log_span(low, low * ratio))
    assert len(ticks.words) >= 3
    assert len(set(ticks.words)) == len(ticks.words)


@given(length=st.floats(1e-6, 1e6), most=st.floats(2, 10))
def test_a_round_step_is_a_preferred_number_that_is_not_too_small(
    length: float, most: float
) -> None:
    step = round_step(length, most=most)
    assert length / step <= most * (1 + 1e-6)
    assert f"{step:.6e}"[0] in "125"
    assert f"{step:.6e}"[1:8] == ".000000"


def test_values_have_a_true_minus_and_a_plus_where_both_signs_are_seen() -> None:
    low = value_ticks(Span(low=-80, high=-20), most=3)
    assert low.words == ("−80", "−60", "−40", "−20")
    assert value_ticks(Span(low=-9, high=9), most=4).words == ("−8", "−4", "0", "+4", "+8")


def test_where_there_is_room_for_four_words_there_are_at_least_four() -> None:
    for end in (5.0, 7.0, 9.5, 12.0, 18.0, 40.0):
        assert len(value_ticks(Span(low=-end, high=end)).words) >= 4
    assert value_ticks(Span(low=-9.5, high=9.5)).words == ("−8", "−4", "0", "+4", "+8")
    assert value_ticks(Span(low=-7, high=7)).words == ("−5.0", "−2.5", "0", "+2.5", "+5.0")


def test_words_have_as_many_places_as_their_step() -> None:
    assert value_ticks(Span(low=93.3, high=94.7), most=3).words == ("93.5", "94.0", "94.5")


def test_an_angle_is_written_in_quarter_turns() -> None:
    assert degree_ticks(Span(low=-215, high=215)).words == ("−180°", "−90°", "0", "90°", "180°")


def test_per_cent_stand_where_the_decibels_say() -> None:
    # 20 lg(1 % / 100 %) = -40 dB.
    ticks = per_cent_ticks(Span(low=-84, high=-18))
    assert dict(zip(ticks.words, ticks.labelled, strict=True)) == {
        "10 %": -20,
        "1 %": -40,
        "0.1 %": -60,
        "0.01 %": -80,
    }


def test_thousands_are_written_short() -> None:
    assert [hz_word(hz) for hz in (999, 1000, 1250, 20_000)] == ["999", "1k", "1.25k", "20k"]
