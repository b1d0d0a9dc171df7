import itertools

import numpy as np
import pytest

from dsp import Complexes, Floats
from dsp.parameters.circuit import CREEP_LOSS, INDUCTANCES, Circuit, evaluate
from tests.dsp.parameters.simulated import HZ, UNIT, unit

CIRCUITS = [
    Circuit(inductance=kind, creep=creep, bumps=bumps)
    for kind, creep, bumps in itertools.product(INDUCTANCES, (False, True), (0, 1))
]


@pytest.mark.parametrize("circuit", CIRCUITS, ids=lambda circuit: circuit.words)
def test_slopes_are_the_changes_of_the_impedance(circuit: Circuit) -> None:
    vector = unit(circuit)

    def z(at: Floats) -> Complexes:
        return evaluate(circuit, vector=at, frequency_hz=HZ).impedance

    slope = evaluate(circuit, vector=vector, frequency_hz=HZ).slope
    for n, step in enumerate(np.eye(vector.size) * 1e-6):
        change = (z(vector + step) - z(vector - step)) / 2e-6
        np.testing.assert_allclose(slope[n], change, rtol=1e-6, atol=1e-7 * np.abs(change).max())


def test_landmarks_of_a_textbook_unit() -> None:
    # R. H. Small, J. Audio Eng. Soc. 20 (1972) 383, for Re 6, Bl 6.5, Mms 12.5 g, Cms 1 mm/N,
    # Rms 1.1: values from the formulas there, computed by themselves.
    plain = Circuit(inductance="none")
    vector = plain.vector(
        {"re_ohm": 6.0, "fs_hz": 45.015815808, "qms": 3.214121733, "res_ohm": 38.409090909}
    )
    hz = np.array([10.0, 20.0, 45.015815808, 100.0, 200.0])
    z = evaluate(plain, vector=vector, frequency_hz=hz).impedance
    expected = [
        6.201951 + 2.777765j,
        7.106465 + 6.424488j,
        44.409090909,
        7.149573 - 6.544657j,
        6.207864 - 2.817920j,
    ]
    np.testing.assert_allclose(z, expected, rtol=0, atol=6e-7)
    coiled = Circuit(inductance="plain")
    more = np.append(vector, np.log(0.5e-3))
    z = evaluate(coiled, vector=more, frequency_hz=np.array([1000.0, 10_000.0])).impedance
    np.testing.assert_allclose(np.abs(z), [6.547112, 31.930928], rtol=0, atol=6e-7)
    np.testing.assert_allclose(np.degrees(np.angle(z)), [23.4238, 79.1693], rtol=0, atol=6e-5)


def test_creep_leaves_resonance_and_damping_where_they_are_and_softens_below() -> None:
    soft = Circuit(inductance="none", creep=True)
    fs, creep = UNIT["fs_hz"], UNIT["creep"]
    z = evaluate(soft, vector=unit(soft), frequency_hz=np.array([fs, fs / 100])).impedance
    assert z[0] == pytest.approx(UNIT["re_ohm"] + UNIT["res_ohm"], rel=1e-12)
    # Two decades down the compliance has grown by about 2 x creep (M. H. Knudsen, J. G. Jensen,
    # J. Audio Eng. Soc. 41 (1993) 3); its real part, from the admittance of the branch.
    branch = 1 / (z[1] - UNIT["re_ohm"]) * UNIT["res_ohm"]
    stiff = -(branch * 100).imag / (1e4 * UNIT["qms"]) * 1.0
    loss = creep * CREEP_LOSS
    firm = 1 + 2 * creep
    assert stiff == pytest.approx((1 + loss**2) * firm / (firm**2 + loss**2) - 1e-4, rel=1e-9)


def test_more_creep_than_loss_would_give_energy() -> None:
    soft = Circuit(inductance="none", creep=True)
    vector = unit(soft, creep=0.6, qms=10.0)  # loss by creep alone is 0.41, all loss 0.1
    z = evaluate(soft, vector=vector, frequency_hz=np.array([UNIT["fs_hz"] * 20])).impedance
    assert (z - UNIT["re_ohm"]).real < 0


def test_words_and_names() -> None:
    circuit = Circuit(inductance="two pairs", creep=True, bumps=2)
    assert circuit.words == "inductance and two R-L pairs, creep, 2 further resonances"
    assert circuit.names[4:10] == ("le_h", "l2_h", "r2_ohm", "l3_h", "r3_ohm", "creep")
    assert circuit.names[-1] == "bump2_hz"
    vector = unit(Circuit(creep=True))
    assert Circuit(creep=True).value(vector, name="creep") == 0.1
    assert Circuit(creep=True).value(vector, name="le_h") == pytest.approx(0.18e-3)


def test_values_come_back_from_a_vector_in_their_units() -> None:
    circuit = Circuit(inductance="fractional", creep=True, bumps=1)
    values = circuit.values(unit(circuit))
    assert tuple(values) == circuit.names
    assert values == pytest.approx({name: UNIT[name] for name in circuit.names})


def test_a_circuit_holds_those_with_parts_left_out_and_not_itself() -> None:
    rich = Circuit(inductance="two pairs", creep=True, bumps=1)
    assert rich.holds(Circuit(inductance="one pair", bumps=1))
    assert rich.holds(Circuit(inductance="none"))
    assert not rich.holds(rich)
    assert not rich.holds(Circuit(inductance="fractional"))
    assert not Circuit(bumps=2).holds(rich)
