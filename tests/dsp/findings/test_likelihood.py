import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from dsp import DspError
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.likelihood import likelihoods
from dsp.findings.signature import Signature


def test_a_trait_is_normal_about_severity_times_shift_averaged_over_the_severity() -> None:
    # By scipy's own integration of scipy's own normal density, evenly in log severity.
    trait = Trait(name="mass", deviation=7.0, spread=2.0)
    heavy = Signature(
        name="heavy", cause="heavy", severity=(1.0, 50.0), shifts={"mass": 1.5}, tolerance=0.2
    )

    def density(log_severity: float) -> float:
        middle = 1.5 * math.exp(log_severity)
        sd = math.hypot(2.0, 0.2 * middle)
        anywhere = 0.001 / 60  # one in a thousand goes astray, up to 30 spreads either way
        return 0.999 * 2.0 * float(norm.pdf(7.0, loc=middle, scale=sd)) + anywhere

    whole, _ = quad(density, 0.0, math.log(50.0))
    found = likelihoods(Evidence(traits=(trait,)), signature=heavy)
    assert found["mass"] == pytest.approx(math.log(whole / math.log(50.0)), abs=0.02)


def test_a_trait_that_a_cause_does_not_move_stays_where_good_units_are() -> None:
    trait = Trait(name="mass", deviation=1.0, spread=1.0)
    found = likelihoods(Evidence(traits=(trait,)), signature=Signature(name="a", cause="a"))
    assert found["mass"] == pytest.approx(math.log(0.999 * norm.pdf(1.0) + 0.001 / 60))


def test_one_odd_figure_cannot_speak_for_ever() -> None:
    # However far off, the likelihood ratio of one trait stays bounded.
    nothing = Signature(name="a", cause="a")
    near, far = (
        likelihoods(
            Evidence(traits=(Trait(name="mass", deviation=size, spread=1.0),)), signature=nothing
        )["mass"]
        for size in (10.0, 1e6)
    )
    assert far == pytest.approx(near, abs=0.01)


def test_a_sign_speaks_by_its_probability_and_by_how_surely_it_is_there() -> None:
    rub = Signature(name="rub", cause="rub", signs={"clicks": 0.8})
    for present, expected in ((1.0, 0.8), (0.0, 0.2), (0.5, 0.5)):
        found = likelihoods(Evidence(signs=(Sign(name="clicks", present=present),)), signature=rub)
        assert found["clicks"] == pytest.approx(math.log(expected))


def test_a_sign_that_a_cause_does_not_name_says_nothing_about_it() -> None:
    some = Signature(name="a", cause="a")
    said = [
        likelihoods(Evidence(signs=(Sign(name="x", present=p),)), signature=some)["x"]
        for p in (0.0, 0.3, 1.0)
    ]
    assert np.ptp(said) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Trait(name="mass", deviation=1.0, spread=0.0), "spread of mass: given 0.0"),
        (lambda: Sign(name="x", present=1.2), "x: given 1.2, allowed 0 to 1"),
        (lambda: Signature(name="a", cause="a", severity=(2.0, 1.0)), "severity of a"),
        (lambda: Signature(name="a", cause="a", weight=0.0), "weight of a"),
        (lambda: Signature(name="a", cause="a", signs={"x": 2.0}), "signs of a"),
    ],
)
def test_what_cannot_be_is_refused(make: object, words: str) -> None:
    assert callable(make)
    with pytest.raises(DspError, match=words):
        make()
