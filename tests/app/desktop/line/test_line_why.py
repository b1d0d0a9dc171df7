"""The one curve that decided stands beside the verdict, with its mask, where it broke."""

from dataclasses import replace

import numpy as np

from app.desktop.presenters.line_why import WhyState, why_state
from app.records.take import Take
from dsp.conformity.verdict import Verdict
from tests.app.desktop.line.judged import broken, judged, undecided
from tests.app.desktop.measure import made


def why(take: Take) -> WhyState:
    return why_state(take, number=43, reference=None)


def test_without_a_mask_the_plot_says_that_nothing_decides() -> None:
    state = why(replace(made.good().take, masks={}, verdict=Verdict.NOT_JUDGED))
    assert (state.title, state.lines) == ("No mask", ())
    assert state.hint == "nothing decides without a mask"


def test_a_broken_mask_is_marked_where_it_broke() -> None:
    state = why(judged(level=broken(-1.25, hz=3200.0)))
    assert state.title == "Why: level"
    assert state.mark_hz == 3200.0
    assert state.mark_words.endswith("dB outside at 3.2 kHz")
    assert {mask.name for mask in state.masks} == {"level"}


def test_the_plot_shows_what_the_mask_spans_and_all_of_it() -> None:
    state = why(judged(level=broken(-1.25, hz=3200.0)))
    low, high = state.span_hz
    assert low <= 40.0
    assert high >= 18_000.0
    assert state.span is not None
    bottom, top = state.span
    for mask in state.masks:
        assert bottom < mask.values.min()
        assert mask.values.max() < top
    line = state.lines[0]
    seen = line.y[(line.x >= low) & (line.x <= high) & np.isfinite(line.y)]
    assert bottom < seen.min()
    assert seen.max() < top


def test_distortion_is_shown_in_decibels_re_fundamental() -> None:
    state = why(judged(high_order=broken(-0.5, hz=105.0)))
    assert state.unit == "dB re fundamental"
    assert np.nanmax(state.lines[0].y) < 0


def test_a_number_stands_with_its_limits_and_the_curve_in_which_it_is_seen() -> None:
    state = why(judged(sensitivity=broken(-0.4)))
    assert state.title == "Why: sensitivity, level"
    assert [fact.name for fact in state.facts] == ["sensitivity", "upper limit", "lower limit"]
    assert state.facts[1].value.startswith("87.1")
    assert state.lines


def test_rub_and_particles_are_seen_in_what_a_sweep_leaves() -> None:
    take = made.good().take
    masks = {"rub_buzz_db": broken(-6.0)}
    state = why(replace(take, masks=masks, verdict=Verdict.DOES_NOT_CONFORM))
    assert state.title == "Why: rub and buzz, residual"
    assert state.unit == "dB"
    curves = {name: curve for name, curve in take.curves.items() if name != "residual"}
    older = replace(take, masks=masks, verdict=Verdict.DOES_NOT_CONFORM, curves=curves)
    assert why(older).title == "Why: rub and buzz, high order"


def test_a_number_that_no_curve_shows_stands_alone() -> None:
    state = why(judged(polarity=broken(-1.0)))
    assert state.facts
    assert not state.lines


def test_a_good_unit_shows_what_is_nearest_to_its_limit() -> None:
    state = why(made.good().take)
    assert state.title.startswith("Closest to a limit: ")
    assert state.mark_hz is None


def test_what_was_not_decided_says_so() -> None:
    take = judged(**{name: undecided("stale") for name in made.good().take.masks})
    assert why(take).title.startswith("Not decided: ")
