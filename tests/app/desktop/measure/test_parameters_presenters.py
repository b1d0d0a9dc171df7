"""Parameters as they are written, drawn and doubted; held against circuits made of known parts."""

import numpy as np
import pytest

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.parameters_card import (
    candidate_lines,
    card_state,
    drawn_facts,
    no_card,
)
from app.desktop.presenters.parameters_correlation import correlation_state, correlation_text
from app.desktop.presenters.parameters_doubts import doubts_said, next_step
from app.desktop.presenters.parameters_fit import fit_impedance_plot, loci, residual_plot
from app.measure.scaling import Scaling, scaled
from dsp.parameters.fit_doubts import Doubt
from dsp.parameters.small_signal import LE_HZ, small_signal
from dsp.parameters.surroundings import Known
from tests.app.desktop.measure import made_parameters as made


def test_every_figure_stands_with_its_interval_to_the_same_place() -> None:
    fitted = made.unit()
    figures = small_signal(fitted.fit)
    state = card_state(fitted.fit, figures, number=7, le_hz=LE_HZ)
    facts = {fact.name: fact for fact in state.facts}
    assert list(facts) == ["Re", "fs", "Qms", "Qes", "Qts", "Le at 1 kHz"]
    for name, truth in (("Re", 6.6), ("fs", 75.0), ("Qms", 4.1), ("Qts", made.qts())):
        value, half = float(facts[name].value), float(facts[name].interval.removeprefix("±"))
        assert abs(value - truth) < 2 * half
        assert facts[name].value.partition(".")[2].__len__() == len(
            facts[name].interval.partition(".")[2]
        )
    assert facts["Re"].unit == "Ω"
    assert state.told == "take 7, k = 2"
    assert state.said_told == "none"


def test_the_model_is_told_in_words_and_all_that_were_tried_by_their_criterion() -> None:
    fitted = made.unit()
    state = card_state(fitted.fit, small_signal(fitted.fit), number=7, le_hz=LE_HZ)
    assert state.model.startswith("Inductance and one R-L pair: of ")
    assert state.model_told == "L, one R-L"
    lines = candidate_lines(fitted.fit)
    assert [line.chosen for line in lines].count(True) == 1
    assert lines[0].chosen
    assert lines[0].criterion == "0"
    assert len({line.words for line in lines}) == len(lines)  # they are keys of a table


def test_the_classic_method_stands_beside_with_how_far_it_is_off() -> None:
    fitted = made.unit()
    figures = small_signal(fitted.fit)
    state = card_state(fitted.fit, figures, number=7, le_hz=LE_HZ)
    assert [fact.name for fact in state.classic] == ["Re", "fs", "Qms", "Qes", "Qts"]
    assert not any(fact.interval for fact in state.classic)
    off = 100 * (fitted.fit.classic.qts / figures.number("qts").value - 1)
    assert state.classic_told == f"Qts {off:+.1f} %".replace("-", "−")


def test_a_span_that_begins_on_the_peak_marks_its_figures_and_says_what_to_do() -> None:
    fitted = made.unit(low_hz=70.0)
    state = card_state(fitted.fit, small_signal(fitted.fit), number=7, le_hz=LE_HZ)
    marks = {fact.name: fact.mark for fact in state.facts}
    assert marks["fs"] is Mark.CAUTION
    assert marks["Le at 1 kHz"] is None
    assert state.said[0].mark is Mark.CAUTION
    assert "begins at 70 Hz" in state.said[0].sentence
    assert "Next: begin the sweep an octave below" in state.said[0].sentence
    assert state.said_told == str(len(state.said))


@pytest.mark.parametrize(
    "reason",
    [
        "the span ends at 100 Hz, on the peak: its flanks are at 60 Hz and 90 Hz",
        "only 3 points lie on the peak",
        "the span ends at 300 Hz, too near to the resonance to tell the inductance",
        "a second peak at 30 Hz beside that at 90 Hz",
        "the circuit misses the measured curve around the resonance by 4.0 %",
        "the circuit leaves 3.0 times what noise explains, most at 80 Hz",
        "the curve is bent by 0.9 % around the resonance, as by too high a level",
        "the data leave qms open by 20 %",
        "the inductance is stated at 1000 Hz, outside the span that was measured",
        "the data show no inductance",
    ],
)
def test_every_doubt_of_a_fit_has_a_next_step_of_its_own(reason: str) -> None:
    assert next_step(reason) != next_step("something nobody has thought of")


def test_what_only_widens_intervals_is_information() -> None:
    said = doubts_said([Doubt(reason="the circuit leaves 3.0 times what noise explains")])
    assert said[0].mark is Mark.INFO
    assert doubts_said([])[0].mark is None


def test_without_a_take_dashes_stand_and_what_to_do() -> None:
    state = no_card("Play a unit.")
    assert {fact.value for fact in state.facts} == {"–"}
    assert state.said[0].sentence == "Play a unit."


def test_measured_and_modelled_impedance_lie_over_each_other() -> None:
    plot = fit_impedance_plot(made.unit(), number=7)
    names = [line.name for line in plot.lines]
    assert names == ["take 7", "model", "phase", "model’s"]
    measured, model = plot.lines[:2]
    np.testing.assert_allclose(measured.y, model.y, rtol=0.01)
    assert plot.y is not None
    assert plot.y[1] > measured.y.max()
    assert fit_impedance_plot(None, hint="soon").hint == "soon"


def test_of_the_residual_noise_leaves_nineteen_in_twenty_within_its_band() -> None:
    plot = residual_plot(made.unit())
    magnitude, phase, expected = plot.lines
    assert expected.interval is not None
    inside = [float(np.mean(np.abs(line.y) < expected.interval)) for line in (magnitude, phase)]
    # k = 2 covers 95 of 100; the way of measuring is allowed for beside the noise, so more.
    assert min(inside) > 0.95
    # sqrt(1e-3^2 + 1e-3^2), times two, in per cent
    np.testing.assert_allclose(expected.interval, 0.283, atol=0.001)


def test_the_locus_is_a_circle_from_re_to_the_peak() -> None:
    measured, model = loci(made.unit(), number=7)
    assert measured.dots
    assert not model.dots
    # Re + Res at resonance, no reactance but the coil's: 2 pi 75 Hz (0.3 + 0.25) mH, 0.26 ohm.
    top = model.at(75.0)
    assert top is not None
    assert top.real == pytest.approx(36.6, rel=0.003)
    assert top.imag == pytest.approx(0.26, abs=0.1)
    assert loci(None) == ()


def test_pairs_that_move_as_one_are_told() -> None:
    scaling = Scaling(
        kind="known_mass", amount=Known(value=8e-3, standard=0.2e-3), sd_m2=Known(value=85e-4)
    )
    figures = scaled(made.unit(), scaling=scaling)
    state = correlation_state(figures)
    row, column = state.names.index("Cms"), state.names.index("Mms")
    # Cms = 1 / (ws^2 Mms), and fs is much better known than the mass.
    assert state.rows[row][column].text == "−1.00"
    assert state.rows[row][column].strong
    assert "Cms and Mms −1.00" in state.told
    assert [len(cells) for cells in state.rows] == list(range(1, len(state.names) + 1))
    text = correlation_text(state).splitlines()
    assert text[0].split("\t") == ["r", *state.names]
    assert text[row + 1].split("\t")[column + 1] == "-1.00"


def test_draws_give_both_ends_that_hold_the_slopes_interval() -> None:
    figures = small_signal(made.unit().fit)
    spread = figures.simulate(draws=2000, chance=np.random.default_rng(3))
    facts = {fact.name: fact.value for fact in drawn_facts(spread, le_hz=LE_HZ)}
    low, high = map(float, facts["Qts"].split(" to "))
    number = figures.number("qts")
    assert number.uncertainty is not None
    # JCGM 101:2008: near a straight line both ways agree.
    assert (high - low) / 2 == pytest.approx(number.uncertainty, rel=0.1)
