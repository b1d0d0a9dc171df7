import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from dsp import DspError
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.likelihood import likelihood
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
    found = likelihood(Evidence(traits=(trait,)), signature=heavy)
    assert found.whole == pytest.approx(math.log(whole / math.log(50.0)), abs=0.02)


def test_a_trait_that_a_cause_does_not_move_stays_where_good_units_are() -> None:
    trait = Trait(name="mass", deviation=1.0, spread=1.0)
    found = likelihood(Evidence(traits=(trait,)), signature=Signature(name="a", cause="a"))
    expected = math.log(0.999 * norm.pdf(1.0) + 0.001 / 60)
    assert (found.whole, found.each["mass"]) == pytest.approx((expected, expected))


def test_one_odd_figure_cannot_speak_for_ever() -> None:
    # However far off, the likelihood ratio of one trait stays bounded.
    nothing = Signature(name="a", cause="a")
    near, far = (
        likelihood(
            Evidence(traits=(Trait(name="mass", deviation=size, spread=1.0),)), signature=nothing
        ).whole
        for size in (10.0, 1e6)
    )
    assert far == pytest.approx(near, abs=0.01)


def test_traits_that_go_together_are_weighed_together() -> None:
    # scipy's own density of two correlated normals; with three spreads of both the same way an
    # astray trait of one in a thousand adds next to nothing.
    correlation = np.array([[1.0, 0.8], [0.8, 1.0]])
    traits = tuple(Trait(name=name, deviation=3.0, spread=1.0) for name in ("mass", "force"))
    found = likelihood(
        Evidence(traits=traits, correlation=correlation), signature=Signature(name="a", cause="a")
    )
    expected = multivariate_normal.logpdf([3.0, 3.0], cov=correlation)
    assert found.whole == pytest.approx(expected, abs=0.01)
    apart = Evidence(traits=traits)
    assert likelihood(apart, signature=Signature(name="a", cause="a")).whole < found.whole - 2


def test_what_one_trait_does_to_two_speaks_for_a_cause_that_moves_both() -> None:
    # Both 2.5 spreads off: two of independent parts say less than one that moves both does.
    traits = tuple(Trait(name=name, deviation=2.5, spread=1.0) for name in ("mass", "force"))
    both = Signature(name="b", cause="b", severity=(2.5, 2.5), shifts={"mass": 1.0, "force": 1.0})
    one = Signature(name="o", cause="o", severity=(2.5, 2.5), shifts={"mass": 1.0})
    found = [likelihood(Evidence(traits=traits), signature=each).whole for each in (both, one)]
    assert found[0] - found[1] > 2


def test_a_sign_speaks_by_its_probability_and_by_how_surely_it_is_there() -> None:
    rub = Signature(name="rub", cause="rub", signs={"clicks": 0.8})
    for present, expected in ((1.0, 0.8), (0.0, 0.2), (0.5, 0.5)):
        found = likelihood(Evidence(signs=(Sign(name="clicks", present=present),)), signature=rub)
        assert found.each["clicks"] == pytest.approx(math.log(expected))


def test_a_sign_that_a_cause_does_not_name_says_nothing_about_it() -> None:
    some = Signature(name="a", cause="a")
    said = [
        likelihood(Evidence(signs=(Sign(name="x", present=p),)), signature=some).whole
        for p in (0.0, 0.3, 1.0)
    ]
    assert np.ptp(said) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Trait(name="mass", deviation=1.0, spread=0.0), "spread of mass: given 0.0"),
        (lambda: Evidence(correlation=np.eye(2)), r"correlation: given \(2, 2\)"),
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
