"""What may be true at once, and how likely it is before and after the evidence."""

import numpy as np
import pytest

from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.hypotheses import Hypotheses, weigh
from dsp.findings.signature import Signature

GOOD = Signature(name="good", cause="", signs={"clicks": 0.01, "hiss": 0.02})
CLICKS = Signature(name="p", cause="particle", weight=2.0, signs={"clicks": 0.9, "hiss": 0.02})
HISS = Signature(name="l", cause="leak", signs={"clicks": 0.3, "hiss": 0.8})
HEAVY = Signature(name="h", cause="mass", shifts={"mass": 1.0}, signs=GOOD.signs)
LIGHT = Signature(name="t", cause="mass", shifts={"mass": -1.0}, signs=GOOD.signs)
WEAK = Signature(name="w", cause="magnet", shifts={"force": -1.0}, signs=GOOD.signs)
STRONG = Signature(name="s", cause="strong magnet", shifts={"force": 1.0}, signs=GOOD.signs)
OTHER = Signature(name="o", cause="wrong unit", alone=True, scatter=9.0)
ALL = (CLICKS, HISS, HEAVY, LIGHT, WEAK, STRONG, OTHER)


def weighed(evidence: Evidence, *, together: float = 0.1) -> Hypotheses:
    return weigh(evidence, signatures=ALL, ordinary=GOOD, before=0.6, together=together)


def test_all_that_may_be_true_adds_up_to_one() -> None:
    found = weighed(Evidence())
    prior = dict(zip(found.parts, np.exp(found.prior).tolist(), strict=True))
    assert sum(prior.values()) == pytest.approx(1.0)
    assert prior[()] == pytest.approx(0.6)
    # Of weights 2 and 1 in 8 together, nine in ten of what is faulty.
    assert (prior[0,], prior[1,]) == pytest.approx((0.4 * 0.9 * 2 / 8, 0.4 * 0.9 / 8))
    assert prior[0, 1] == pytest.approx(2 * prior[1, 2])


def test_two_are_true_at_once_only_where_that_can_be() -> None:
    pairs = {one for one in weighed(Evidence()).parts if len(one) == 2}
    # Neither two ways of one cause, nor two that undo each other, nor what stands alone.
    assert pairs == {(0, 1), (0, 2), (0, 3), (0, 4), (0, 5), (1, 2), (1, 3), (1, 4), (1, 5)} | {
        (2, 4),
        (2, 5),
        (3, 4),
        (3, 5),
    }
    assert not [one for one in weighed(Evidence(), together=0.0).parts if len(one) == 2]


def test_a_sign_of_two_causes_is_there_unless_neither_shows_it() -> None:
    both = (Sign(name="clicks", present=1.0), Sign(name="hiss", present=1.0))
    found = weighed(Evidence(signs=both))
    likely = dict(zip(found.parts, np.exp(found.found).tolist(), strict=True))
    assert likely[()] == pytest.approx(0.01 * 0.02)
    assert likely[0,] == pytest.approx(0.9 * 0.02)
    # Clicks: 1 - 0.1 * 0.7. What hisses is the leak: a particle hisses as a good unit does.
    assert likely[0, 1] == pytest.approx((1 - 0.1 * 0.7) * 0.8)


def test_two_faults_explain_what_neither_does_alone() -> None:
    size = {"mass": 20.0, "force": -20.0, "losses": 0.0, "resistance": 0.0, "treble": 0.0}
    traits = tuple(Trait(name=name, deviation=size[name], spread=2.0) for name in size)
    found = weighed(Evidence(traits=traits))
    best = found.parts[int(np.argmax(found.prior + found.found))]
    assert [ALL[one].cause for one in best] == ["mass", "magnet"]
