from dataclasses import replace

import numpy as np
import pytest

from dsp import DspError, ValidRange
from dsp.parameters.circuit import INDUCTANCES, Circuit, Inductance, evaluate
from dsp.parameters.fit import fit_lumped
from dsp.parameters.small_signal import small_signal
from tests.dsp.parameters.simulated import HZ, UNIT, measured, unit


@pytest.mark.parametrize("kind", INDUCTANCES)
@pytest.mark.parametrize("creep", [False, True])
def test_without_noise_the_truth_comes_back(kind: Inductance, creep: bool) -> None:
    circuit = Circuit(inductance=kind, creep=creep)
    fit = fit_lumped(measured(circuit, vector=unit(circuit)))
    assert fit.circuit == circuit
    for name in circuit.names:
        assert fit.value(name) == pytest.approx(UNIT[name], rel=1e-6)


@pytest.mark.parametrize("kind", INDUCTANCES)
def test_the_circuit_is_found_through_noise(kind: Inductance) -> None:
    circuit = Circuit(inductance=kind)
    fit = fit_lumped(measured(circuit, vector=unit(circuit), noise=3e-3, seed=5))
    assert fit.circuit == circuit
    assert fit.candidates[0].chosen
    assert {one.circuit.inductance for one in fit.candidates} == set(INDUCTANCES)
    assert all(one.bic > 0 for one in fit.candidates[1:])
    assert fit.misfit_per_freedom == pytest.approx(1.0, abs=0.25)
    assert not fit.doubts


# Without creep, and without the resonance, another inductance describes these units better.
CREEPING = (
    Circuit(inductance="none", creep=True),
    {"re_ohm": 5.23, "fs_hz": 140.0, "qms": 5.11, "res_ohm": 26.0},
)
RESONATING = (
    Circuit(inductance="two pairs", bumps=1),
    {
        "re_ohm": 7.2,
        "fs_hz": 48.5,
        "qms": 4.04,
        "res_ohm": 25.2,
        "le_h": 0.126e-3,
        "l2_h": 0.183e-3,
        "r2_ohm": 2.48,
        "l3_h": 0.0586e-3,
        "r3_ohm": 1.87,
        "bump1_q": 5.56,
        "bump1_hz": 409.0,
    },
)


@pytest.mark.parametrize(("circuit", "changed"), [CREEPING, RESONATING])
def test_what_first_stood_for_a_missing_part_is_looked_for_anew(
    circuit: Circuit, changed: dict[str, float]
) -> None:
    data = measured(circuit, vector=unit(circuit, **changed), noise=1e-4, seed=1)
    assert fit_lumped(data).circuit == circuit


def test_a_further_resonance_is_modelled_and_leaves_the_main_one_alone() -> None:
    circuit = Circuit(bumps=1)
    fit = fit_lumped(measured(circuit, vector=unit(circuit), noise=1e-3))
    assert fit.circuit == circuit
    tried = [one.circuit for one in fit.candidates]
    assert len(set(tried)) == len(tried)
    assert fit.value("bump1_hz") == pytest.approx(420, rel=0.01)
    assert fit.value("qms") == pytest.approx(UNIT["qms"], rel=4e-3)
    plain = fit_lumped(measured(circuit, vector=unit(circuit), noise=1e-3), most_bumps=0)
    assert plain.misfit_per_freedom > 10
    assert any("times what noise explains" in doubt.reason for doubt in plain.doubts)


def test_the_classic_reading_stands_beside_the_fit() -> None:
    # On clean data it is a start, not a result: the peak's flanks carry the inductance, too.
    circuit = Circuit()
    classic = fit_lumped(measured(circuit, vector=unit(circuit))).classic
    assert classic.fs_hz == pytest.approx(75, rel=0.03)
    assert classic.re_ohm == pytest.approx(6.6, rel=0.02)
    assert classic.qms == pytest.approx(4.1, rel=0.1)
    plain = Circuit(inductance="none")
    fine = np.geomspace(10, 500, 4000)
    exact = fit_lumped(measured(plain, vector=unit(plain), hz=fine)).classic
    assert exact.qms == pytest.approx(4.1, rel=5e-3)
    assert exact.qes == pytest.approx(4.1 * 6.6 / 30, rel=1e-2)  # at 10 Hz Re is not quite reached
    assert exact.f1_hz * exact.f2_hz == pytest.approx(75**2, rel=1e-3)  # Small 1972, exact


def test_hum_is_set_aside() -> None:
    circuit = Circuit()
    clean = measured(circuit, vector=unit(circuit), noise=1e-3)
    value = clean.value.copy()
    for hz in (50.0, 150.0, 250.0):
        at = int(np.argmin(np.abs(HZ - hz)))
        value[at] *= 1 + 0.6 * np.exp(1j * hz)
    fit = fit_lumped(replace(clean, value=value))
    np.testing.assert_allclose(fit.aside_hz, [50, 150, 250], rtol=0.04)
    calm = fit_lumped(clean)
    assert fit.value("qms") == pytest.approx(calm.value("qms"), rel=3e-3)
    assert fit.circuit == circuit


def test_the_chains_scale_moves_ohms_and_no_quality() -> None:
    circuit = Circuit()
    vector = unit(circuit)
    calm = fit_lumped(measured(circuit, vector=vector, noise=1e-3))
    told = fit_lumped(measured(circuit, vector=vector, noise=1e-3, chain=0.01))
    np.testing.assert_allclose(told.residual, calm.residual, rtol=0, atol=1e-9)
    small = small_signal(told)
    for name, relative in (("re_ohm", 0.01), ("res_ohm", 0.01), ("le_mh", 0.01)):
        at = small.names.index(name)
        assert small.standard[at] / small.value[at] == pytest.approx(relative, rel=0.02)
    for name in ("fs_hz", "qms", "qes", "qts"):
        at = small.names.index(name)
        assert small.standard[at] == pytest.approx(small_signal(calm).standard[at], rel=1e-3)


def test_a_frequency_dependent_error_of_the_chain_is_carried_exactly() -> None:
    # Against the brute force: the same data, moved by one standard deviation, fitted again.
    circuit = Circuit()
    clean = measured(circuit, vector=unit(circuit), noise=1e-3)
    error = 1e-4 * HZ / 1000
    told = fit_lumped(replace(clean, relative_chain=error))
    moved = fit_lumped(replace(clean, value=clean.value * np.exp(error)))
    np.testing.assert_allclose(told.common[0], moved.vector - told.vector, rtol=0.03, atol=3e-6)


def test_points_that_share_their_noise_count_less() -> None:
    circuit = Circuit()
    data = measured(circuit, vector=unit(circuit), noise=1e-3)
    alone = fit_lumped(data)
    shared = fit_lumped(data, independent=np.full(HZ.size, 0.25))
    np.testing.assert_allclose(np.diag(shared.covariance), 4 * np.diag(alone.covariance), rtol=1e-3)


@pytest.mark.parametrize(
    ("low", "high", "words", "name"),
    [
        (65.0, 18_000.0, "the span begins at", "qts"),
        (12.0, 80.0, "the span ends at", "qts"),
        (12.0, 300.0, "too near to the resonance", "le_mh"),
    ],
)
def test_too_narrow_a_span_is_told(low: float, high: float, words: str, name: str) -> None:
    circuit = Circuit()
    data = measured(circuit, vector=unit(circuit), noise=1e-3, hz=np.geomspace(10, 20_000, 500))
    fit = fit_lumped(data, valid=ValidRange(low_hz=low, high_hz=high))
    assert any(words in doubt.reason for doubt in fit.doubts)
    assert words in small_signal(fit).number(name).reason


def test_no_peak_and_too_few_points_are_refused() -> None:
    circuit = Circuit()
    data = measured(circuit, vector=unit(circuit), noise=1e-3)
    with pytest.raises(DspError, match="no peak of the impedance"):
        fit_lumped(data, valid=ValidRange(low_hz=150, high_hz=18_000))
    with pytest.raises(DspError, match="too few points: given 11, allowed from 12"):
        fit_lumped(measured(circuit, vector=unit(circuit), hz=np.geomspace(20, 2000, 11)))


def test_a_vented_box_shows_two_peaks_and_nothing_is_trusted() -> None:
    # The vent's branch stands beside the suspension's: Z = Re + Res d / (d + u + 1/u + coupling).
    u = np.array(1j * HZ / 75.0, dtype=np.complex128)
    vent = 1 / (u + (60 / 75) ** 2 / u + 0.05)  # box air against a vent tuned to 60 Hz
    loaded = 1 + 4.1 * (u + 1 / u + (1.3 / u) * (1 - (60 / 75) ** 2 / u * vent))
    branch = np.asarray(30 / loaded, dtype=np.complex128)
    data = measured(Circuit(inductance="none"), vector=unit(Circuit(inductance="none")))
    fit = fit_lumped(replace(data, value=branch + 6.6))
    number = small_signal(fit).number("fs_hz")
    assert "a second peak at" in number.reason
    assert not number.trusted


def test_few_points_are_enough_where_noise_is_low() -> None:
    circuit = Circuit()
    hz = np.geomspace(20, 10_000, 40)
    fit = fit_lumped(measured(circuit, vector=unit(circuit), noise=1e-3, hz=hz))
    assert fit.value("fs_hz") == pytest.approx(75, rel=2e-3)
    assert fit.value("qms") == pytest.approx(4.1, rel=0.02)


def test_a_unit_that_is_none_of_the_circuits_is_told_and_widened() -> None:
    circuit = Circuit()
    clean = measured(circuit, vector=unit(circuit), noise=1e-4)
    bent = clean.value * (1 + 3e-3 * np.sin(9 * np.log(HZ)))
    fit = fit_lumped(replace(clean, value=bent))
    calm = fit_lumped(clean)
    assert fit.misfit_per_freedom > 20
    ratio = fit.covariance[1, 1] / calm.covariance[1, 1]
    assert ratio > 0.3 * fit.misfit_per_freedom


def test_the_model_can_be_drawn_anywhere() -> None:
    circuit = Circuit()
    fit = fit_lumped(measured(circuit, vector=unit(circuit)))
    hz = np.array([5.0, 30_000.0])
    truth = evaluate(circuit, vector=unit(circuit), frequency_hz=hz).impedance
    np.testing.assert_allclose(fit.impedance(hz), truth, rtol=1e-5)


def test_the_inductance_is_doubted_where_it_is_not_seen() -> None:
    circuit = Circuit()
    fit = fit_lumped(measured(circuit, vector=unit(circuit), noise=1e-3))
    assert small_signal(fit).number("le_mh").trusted
    assert "outside the span" in small_signal(fit, le_hz=25_000.0).number("le_mh").reason
    bare = Circuit(inductance="none")
    number = small_signal(fit_lumped(measured(bare, vector=unit(bare)))).number("le_mh")
    assert (number.value, number.reason) == (0.0, "the data show no inductance")


def test_few_points_on_the_peak_and_a_figure_left_open_are_told() -> None:
    circuit = Circuit(inductance="plain")
    sharp = unit(circuit, qms=60.0, res_ohm=60.0)
    few = fit_lumped(measured(circuit, vector=sharp, noise=1e-3, hz=np.geomspace(20, 4000, 110)))
    assert "points lie on the peak" in small_signal(few).number("qms").reason
    rough = fit_lumped(measured(circuit, vector=unit(circuit), noise=0.15, seed=3, hz=HZ[::5]))
    assert any("open by" in doubt.reason for doubt in rough.doubts)


def test_a_curve_that_no_resonance_describes_is_not_trusted() -> None:
    circuit = Circuit()
    clean = measured(circuit, vector=unit(circuit), noise=1e-3)
    kink = 1 + 0.4 * np.tanh(8 * np.log(HZ / 80.0))  # it falls over, as a hard spring does
    fit = fit_lumped(replace(clean, value=clean.value * kink), most_bumps=0)
    assert "the circuit misses the measured curve" in small_signal(fit).number("fs_hz").reason
    assert not small_signal(fit).number("re_ohm").trusted


def test_a_suspension_that_would_give_energy_is_not_chosen() -> None:
    soft = Circuit(inductance="none", creep=True)
    fit = fit_lumped(measured(soft, vector=unit(soft, creep=0.3, qms=10.0)))
    for one in fit.candidates:
        if one.circuit == soft:
            assert not one.chosen
            assert np.isinf(one.bic)
