import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from dsp import DspError
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.likelihood import Likelihoods, sign_likelihoods, trait_likelihoods
from dsp.findings.signature import Signature

NOTHING = Signature(name="a", cause="a")


def of_traits(evidence: Evidence, *causes: Signature) -> Likelihoods:
    return trait_likelihoods(evidence, hypotheses=[causes])


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
    found = of_traits(Evidence(traits=(trait,)), heavy)
    assert found.whole[0] == pytest.approx(math.log(whole / math.log(50.0)), abs=0.02)


def test_a_trait_that_a_cause_does_not_move_stays_where_good_units_are() -> None:
    trait = Trait(name="mass", deviation=1.0, spread=1.0)
    found = of_traits(Evidence(traits=(trait,)), NOTHING)
    expected = math.log(0.999 * norm.pdf(1.0) + 0.001 / 60)
    assert (found.whole[0], found.each[0, 0]) == pytest.approx((expected, expected))


def test_one_odd_figure_cannot_speak_for_ever() -> None:
    # However far off, the likelihood ratio of one trait stays bounded.
    near, far = (
        of_traits(
            Evidence(traits=(Trait(name="mass", deviation=size, spread=1.0),)), NOTHING
        ).whole[0]
        for size in (10.0, 1e6)
    )
    assert far == pytest.approx(near, abs=0.01)


def test_traits_that_go_together_are_weighed_together() -> None:
    # scipy's own density of two correlated normals; with three spreads of both the same way an
    # astray trait of one in a thousand adds next to nothing.
    correlation = np.array([[1.0, 0.8], [0.8, 1.0]])
    traits = tuple(Trait(name=name, deviation=3.0, spread=1.0) for name in ("mass", "force"))
    found = of_traits(Evidence(traits=traits, correlation=correlation), NOTHING).whole[0]
    expected = multivariate_normal.logpdf([3.0, 3.0], cov=correlation)
    assert found == pytest.approx(expected, abs=0.01)
    assert of_traits(Evidence(traits=traits), NOTHING).whole[0] < found - 2


def test_what_one_trait_does_to_two_speaks_for_a_cause_that_moves_both() -> None:
    # Both 2.5 spreads off: two of independent parts say less than one that moves both does.
    traits = tuple(Trait(name=name, deviation=2.5, spread=1.0) for name in ("mass", "force"))
    both = Signature(name="b", cause="b", severity=(2.5, 2.5), shifts={"mass": 1.0, "force": 1.0})
    one = Signature(name="o", cause="o", severity=(2.5, 2.5), shifts={"mass": 1.0})
    found = trait_likelihoods(Evidence(traits=traits), hypotheses=[[both], [one]])
    assert found.whole[0] - found.whole[1] > 2


def test_of_two_causes_the_shifts_add_up() -> None:
    # By scipy's density over all severities of both, on a grid of its own.
    heavy = Signature(name="h", cause="h", severity=(1.0, 30.0), shifts={"mass": 1.0, "fs": -0.5})
    stiff = Signature(name="s", cause="s", severity=(2.0, 40.0), shifts={"fs": 0.5})
    size = {"mass": 9.0, "fs": 4.0}
    traits = tuple(Trait(name=name, deviation=size[name], spread=1.0) for name in size)
    a, b = (np.geomspace(*one.severity, 200) for one in (heavy, stiff))
    by_mass, by_stiff = np.meshgrid(a, b, indexing="ij")
    middle = (by_mass, 0.5 * by_stiff - 0.5 * by_mass)
    spread = (
        np.hypot(1.0, 0.2 * by_mass),
        np.sqrt(1 + (0.1 * by_mass) ** 2 + (0.1 * by_stiff) ** 2),
    )
    density = np.prod(
        [norm.pdf(size[n], m, s) for n, m, s in zip(size, middle, spread, strict=True)], axis=0
    )
    found = of_traits(Evidence(traits=traits), heavy, stiff).whole[0]
    assert found == pytest.approx(math.log(np.mean(density)), abs=0.03)


def test_a_sign_speaks_by_its_probability_and_by_how_surely_it_is_there() -> None:
    for present, expected in ((1.0, 0.8), (0.0, 0.2), (0.5, 0.5)):
        clicks = Sign(name="clicks", present=present)
        found = sign_likelihoods([clicks], expected=np.array([[0.8]]))
        assert found.each[0, 0] == pytest.approx(math.log(expected))


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
