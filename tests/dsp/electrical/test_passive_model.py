import numpy as np
import pytest

from dsp import Complexes, Floats
from dsp.electrical.passive_model import Problem, Structure, bounds, evaluate

HZ = np.geomspace(0.01, 1, 40)
JX = np.asarray(1j * HZ, dtype=np.complex128)
PROBLEM = Problem(
    jx=JX,
    log_jx=np.log(JX),
    ratio=np.ones(40, dtype=np.complex128),
    weight=np.ones(40),
    resonance=0.004,
)
CORE = [0.3, 0.8, 1.2, 0.002, np.log(0.002), np.log(0.004)]
CIRCUITS = {
    "plain": (Structure(), CORE),
    "pairs": (Structure(pairs=2), [*CORE, 0.5, 0.2, 2.0, 2.5]),
    "fractional": (Structure(fractional=True), [*CORE, 0.7, 0.6]),
    "capped": (Structure(pairs=1, fractional=True, capped=True), [*CORE, 0.5, 1.0, 0.7, 0.6, 0.4]),
    "modes": (Structure(pairs=1, modes=1), [*CORE, 0.5, 1.0, 0.01, np.log(8), np.log(0.2)]),
}


@pytest.mark.parametrize("name", CIRCUITS)
def test_slopes_are_the_changes_of_the_delayed_impedance(name: str) -> None:
    structure, given = CIRCUITS[name]
    p = np.array(given)
    assert p.size == structure.parameters

    def logarithm(parameters: Floats) -> Complexes:
        found = evaluate(structure, parameters=parameters, problem=PROBLEM)
        return np.asarray(np.log(found.impedance) + parameters[0] * PROBLEM.jx)

    slope = evaluate(structure, parameters=p, problem=PROBLEM).slope
    for n in range(p.size):
        step = np.zeros(p.size)
        step[n] = 1e-6
        change = (logarithm(p + step) - logarithm(p - step)) / 2e-6
        np.testing.assert_allclose(slope[n], change, rtol=1e-5, atol=1e-8)


@pytest.mark.parametrize("name", CIRCUITS)
def test_every_circuit_inside_its_bounds_is_passive(name: str) -> None:
    structure, _ = CIRCUITS[name]
    span = bounds(structure, problem=PROBLEM)
    rng = np.random.default_rng(3)
    low, high = np.maximum(span.low, -3), np.minimum(span.high, 3)
    for _ in range(50):
        p = low + (high - low) * rng.random(low.size)
        z = evaluate(structure, parameters=p, problem=PROBLEM).impedance
        assert np.all(z.real > 0)


def test_a_structure_holds_what_it_is_made_from_and_not_itself() -> None:
    both = Structure(pairs=1, fractional=True)
    assert both.holds(Structure(pairs=1))
    assert both.holds(Structure(fractional=True))
    assert not both.holds(both)
    assert not both.holds(Structure(pairs=2))
