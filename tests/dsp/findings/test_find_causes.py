from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.find_causes import Causes, find_causes
from dsp.findings.signature import Signature

GOOD = Signature(name="good", cause="", signs={"clicks": 0.05, "hiss": 0.05})
PARTICLE = Signature(name="particle", cause="particle", signs={"clicks": 0.9, "hiss": 0.1})
LEAK = Signature(name="leak", cause="leak", signs={"clicks": 0.1, "hiss": 0.9})
HEAVY = Signature(name="heavy", cause="mass", severity=(3.0, 60.0), shifts={"mass": 1.0})
LIGHT = Signature(name="light", cause="mass", severity=(3.0, 60.0), shifts={"mass": -1.0})
ALL = (PARTICLE, LEAK, HEAVY, LIGHT)


def found(evidence: Evidence, *, before: float = 0.5, together: float = 0.0) -> Causes:
    return find_causes(evidence, signatures=ALL, ordinary=GOOD, before=before, together=together)


def test_without_evidence_the_weights_are_the_answer() -> None:
    causes = found(Evidence(), before=0.6)
    assert causes.ordinary == pytest.approx(0.6)
    by_cause = {one.cause: one.confidence for one in causes.ranked}
    # Four signatures of equal weight share 0.4; two of them are ways of one cause.
    assert by_cause == pytest.approx({"particle": 0.1, "leak": 0.1, "mass": 0.2})


def test_a_sign_names_the_cause_that_shows_it() -> None:
    clicks = Sign(name="clicks", present=1.0, said="it clicks")
    hiss = Sign(name="hiss", present=0.0, said="it hisses")
    first = found(Evidence(signs=(clicks, hiss))).ranked[0]
    assert (first.cause, first.because) == ("particle", ("it clicks",))


def test_the_ratio_to_a_good_unit_is_that_of_the_likelihoods() -> None:
    ranked = found(Evidence(signs=(Sign(name="clicks", present=1.0),)), before=0.7).ranked
    first = next(one for one in ranked if one.cause == "particle")
    # 0.9 against 0.05; the prior has no part in it.
    assert first.times_ordinary == pytest.approx(0.9 / 0.05)


@pytest.mark.parametrize("deviation", [-20.0, 20.0])
def test_either_way_of_a_cause_counts_for_it(deviation: float) -> None:
    mass = Trait(name="mass", deviation=deviation, spread=2.0, said="mass off")
    first = found(Evidence(traits=(mass,))).ranked[0]
    assert (first.cause, first.because) == ("mass", ("mass off",))
    assert first.confidence > 0.9


def test_reasons_come_with_the_strongest_first() -> None:
    both = Signature(name="b", cause="b", severity=(1.0, 90.0), shifts={"near": 0.4, "far": 1.0})
    traits = tuple(
        Trait(name=name, deviation=size, spread=2.0, said=name)
        for name, size in (("near", 8.0), ("far", 20.0))
    )
    causes = find_causes(Evidence(traits=traits), signatures=(both,), ordinary=GOOD, before=0.5)
    assert causes.ranked[0].because == ("far", "near")


@given(st.floats(-50, 50), st.floats(0, 1), st.floats(0, 1), st.floats(0.01, 0.99))
def test_probabilities_add_up_whatever_the_order(
    mass: float, clicks: float, hiss: float, before: float
) -> None:
    signs = [Sign(name="clicks", present=clicks), Sign(name="hiss", present=hiss)]
    evidence = Evidence(
        traits=(Trait(name="mass", deviation=mass, spread=2.0),), signs=tuple(signs)
    )
    turned = Evidence(traits=evidence.traits, signs=tuple(reversed(signs)))
    one, other = found(evidence, before=before), found(turned, before=before)
    assert one.ordinary + sum(c.confidence for c in one.ranked) == pytest.approx(1.0)
    assert [c.confidence for c in one.ranked] == sorted(
        (c.confidence for c in one.ranked), reverse=True
    )
    assert one.ordinary == pytest.approx(other.ordinary)


@given(st.floats(0, 0.98))
def test_the_surer_a_sign_the_likelier_its_cause(present: float) -> None:
    less, more = (
        {
            one.cause: one.confidence
            for one in found(Evidence(signs=(Sign(name="hiss", present=p),))).ranked
        }
        for p in (present, present + 0.02)
    )
    assert more["leak"] > less["leak"]


def test_two_causes_are_both_likely_where_both_are_seen() -> None:
    traits = (Trait(name="mass", deviation=20.0, spread=2.0),)
    signs = (Sign(name="clicks", present=1.0), Sign(name="hiss", present=0.0))
    causes = find_causes(
        Evidence(traits=traits, signs=signs),
        signatures=(PARTICLE, LEAK, replace(HEAVY, signs=GOOD.signs)),
        ordinary=GOOD,
        before=0.5,
        together=0.2,
    )
    assert {one.cause for one in causes.ranked[:2]} == {"mass", "particle"}
    assert causes.ranked[1].confidence > 0.6


def test_a_cause_that_nothing_shows_which_was_read_is_left_out() -> None:
    # Nobody listened: neither clicks nor hiss can be why this unit is looked at.
    mass = Trait(name="mass", deviation=3.0, spread=2.0)
    assert {one.cause for one in found(Evidence(traits=(mass,))).ranked} == {"mass"}
    heard = Sign(name="hiss", present=0.0)
    causes = {one.cause for one in found(Evidence(traits=(mass,), signs=(heard,))).ranked}
    assert causes == {"mass", "leak"}


def test_what_is_as_usual_is_told_where_it_tells_a_cause_from_its_rival() -> None:
    heavy = Signature(name="m", cause="mass", severity=(5.0, 60.0), shifts={"fs": -1.0, "p": -2.0})
    soft = Signature(name="s", cause="suspension", severity=(5.0, 60.0), shifts={"fs": -1.0})
    traits = tuple(
        Trait(name=name, deviation=size, spread=2.0, said=f"{name} off", said_usual=f"{name} on")
        for name, size in (("fs", -15.0), ("p", 0.5))
    )
    causes = find_causes(
        Evidence(traits=traits), signatures=(heavy, soft), ordinary=GOOD, before=0.5
    )
    first = causes.ranked[0]
    assert (first.cause, first.because) == ("suspension", ("fs off", "p on"))


def test_nothing_to_choose_from_is_refused() -> None:
    with pytest.raises(DspError, match="no signatures"):
        find_causes(Evidence(), signatures=(), ordinary=GOOD, before=0.5)
    with pytest.raises(DspError, match=r"before: given 1\.0"):
        found(Evidence(), before=1.0)
    with pytest.raises(DspError, match=r"together: given 1\.0"):
        found(Evidence(), together=1.0)
