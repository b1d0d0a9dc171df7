"""How often a hall would be taken for a unit: sums of the Poisson distribution."""

import itertools
import math

import pytest

from dsp.defects.own_ringing import rings_of_itself


def chance(*, per_second: float, tones: int = 3, held_s: float = 0.4) -> float:
    """How often clanks at random moments, all heard, look like the unit's own."""
    mean = per_second * held_s
    weight = [math.exp(-mean) * mean**n / math.factorial(n) for n in range(30)]
    return sum(
        math.prod(weight[n] for n in counts)
        for counts in itertools.product(range(30), repeat=tones)
        if rings_of_itself(counts)
    )


def test_clanks_of_a_hall_are_hardly_ever_taken_for_the_unit_s_own() -> None:
    assert chance(per_second=1.0) < 1e-7
    assert chance(per_second=3.0) < 1 / 2500


@pytest.mark.parametrize(
    ("counts", "own"),
    [((), False), ((4, 4, 4), True), ((20, 2, 20), False), ((12,), True), ((3, 3, 5), False)],
)
def test_it_must_ring_in_every_tone_and_often_in_all(counts: tuple[int, ...], own: bool) -> None:
    assert rings_of_itself(counts) is own
