import numpy as np
import pytest

from dsp import DspError, ValidRange
from dsp.electrical.impedance import (
    Impedance,
    impedance,
    impedance_from_source,
    magnitude,
    phase,
)
from dsp.electrical.unit_voltage import known_source, unit_voltage
from tests.dsp.analytic_unit import AnalyticUnit, log_frequencies, phasors

WHOLE = ValidRange(low_hz=20.0, high_hz=20_000.0)
UNIT = AnalyticUnit(
    re_ohm=6.0, le_h=0.0, pairs=(), bl_tm=6.5, mms_kg=12.5e-3, rms_kg_per_s=1.1, cms_m_per_n=1e-3
)


def test_sense_resistor_in_the_return_leg_is_taken_off_once() -> None:
    # 0.1 ohm, 2.83 V, 11.4286 mV across it: 24.662438 ohm where the voltage spans both, 24.762438
    # where it spans the unit alone (closed form, IEC 60268-5 topology).
    hz = np.array([100.0])
    current, volts = phasors(hz, np.array([0.0114286 / 0.1])), phasors(hz, np.array([2.83]))
    alone = impedance(volts, current=current).value[0].real
    both = impedance_from_source(volts, current=current, resistor_ohm=0.1).value[0].real
    assert alone == pytest.approx(24.762438, abs=5e-7)
    assert both == pytest.approx(24.662438, abs=5e-7)


def test_closed_form_of_a_known_unit_returns() -> None:
    # Small (1972) at 10, 20, 100, 200 Hz for the unit above.
    hz = np.array([10.0, 20.0, 100.0, 200.0])
    truth = [6.201951 + 2.777765j, 7.106465 + 6.424488j, 7.149573 - 6.544657j, 6.207864 - 2.817920j]
    z = UNIT.impedance(hz)
    got = impedance_from_source(
        known_source(frequency_hz=hz, source_v_rms=1.0, orders=1),
        current=phasors(hz, 1.0 / (z + 0.22)),
        resistor_ohm=0.22,
    )
    np.testing.assert_allclose(got.value, truth, rtol=0, atol=1e-6)
    size, turned = magnitude(got, valid=WHOLE), phase(got, valid=WHOLE)
    assert size.value[0] == pytest.approx(6.795600, abs=1e-6)
    assert turned.value[:2] == pytest.approx([24.1269, 42.1147], abs=5e-5)
    assert (size.unit, turned.unit) == ("ohm", "deg")


@pytest.mark.parametrize("terminal", [True, False], ids=["terminal", "source"])
def test_noise_interval_holds_the_truth_in_95_of_100(terminal: bool) -> None:
    rng = np.random.default_rng(5)
    hz = log_frequencies(per_octave=40)
    z = AnalyticUnit().impedance(hz)
    resistor = 10.0  # large: V and I share most of their noise
    current = 2.0 / (z + resistor)
    noisy = phasors(hz, current, noise=2e-3 * np.abs(current), rng=rng)
    if terminal:
        got = impedance(phasors(hz, current * z, noise=1e-2, rng=rng), current=noisy)
    else:
        source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
        got = impedance_from_source(source, current=noisy, resistor_ohm=resistor)
    size, turned = magnitude(got, valid=WHOLE), phase(got, valid=WHOLE)
    assert size.uncertainty is not None
    assert turned.uncertainty is not None
    inside = np.abs(size.value - np.abs(z)) <= size.uncertainty
    turn = np.abs(turned.value - np.degrees(np.angle(z))) <= turned.uncertainty
    # 400 points: 95.45 % with a standard error of 1.04 %; four of them either way.
    assert 0.913 <= np.mean(inside) <= 0.996
    assert 0.913 <= np.mean(turn) <= 0.996


def test_shared_noise_is_not_counted_twice() -> None:
    # As in GUM H.2: taken as independent, V = S - R I and I give another, wrong uncertainty.
    rng = np.random.default_rng(6)
    hz = np.full(1, 100.0)
    source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
    runs = [
        impedance_from_source(
            source, current=phasors(hz, np.full(1, 0.125), noise=1e-4, rng=rng), resistor_ohm=10.0
        )
        for _ in range(2000)
    ]
    scatter = float(np.std([abs(run.value[0]) for run in runs]))
    right = float(runs[0].noise_ohm[0])
    noisy = phasors(hz, np.full(1, 0.125), noise=1e-4)
    volts = unit_voltage(source, current=noisy, resistor_ohm=10.0)
    wrong = float(impedance(volts, current=noisy).noise_ohm[0])
    assert scatter == pytest.approx(right, rel=0.064)  # 4 / sqrt(2 x 2000)
    assert abs(wrong / right - 1) > 0.2


def test_chain_errors_do_to_the_impedance_what_they_are_said_to_do() -> None:
    # Every contribution against the change that the same error makes, by finite difference.
    hz = log_frequencies(per_octave=3)
    z = AnalyticUnit().impedance(hz)
    source, current = phasors(hz, np.full(hz.size, 2.0)), phasors(hz, 2.0 / (z + 1.0))

    def found(gain: float = 1.0, resistor: float = 1.0, late_s: float = 0.0) -> Impedance:
        # The current is volts across the resistor over the resistor that one believes in.
        turned = current.fundamental / resistor * np.exp(-2j * np.pi * hz * late_s)
        return impedance_from_source(
            phasors(hz, source.fundamental * gain),
            current=phasors(hz, turned),
            resistor_ohm=resistor,
        )

    small = 1e-6
    for moved, stated in (
        (
            found(gain=1 + small),
            impedance_from_source(
                source, current=current, resistor_ohm=1.0, gain_uncertainty=small
            ),
        ),
        (
            found(resistor=1 + small),
            impedance_from_source(
                source, current=current, resistor_ohm=1.0, resistor_uncertainty=small
            ),
        ),
        (
            found(late_s=1e-11),
            impedance_from_source(
                source, current=current, resistor_ohm=1.0, delay_uncertainty_s=1e-11
            ),
        ),
    ):
        change = np.log(moved.value / z)
        np.testing.assert_allclose(np.abs(change.real), stated.relative_chain, rtol=0, atol=2e-11)
        np.testing.assert_allclose(np.abs(change.imag), stated.phase_chain_rad, rtol=0, atol=2e-11)


def test_terminal_topology_takes_the_links_as_one_ratio() -> None:
    hz = np.array([100.0])
    got = impedance(
        phasors(hz, np.array([2.0])),
        current=phasors(hz, np.array([0.25])),
        relative_uncertainty=0.01,
    )
    size = magnitude(got, valid=WHOLE)
    assert size.uncertainty is not None
    assert size.uncertainty[0] == pytest.approx(0.16)  # 8 ohm x 1 % x 2
    assert phase(got, valid=WHOLE).uncertainty == pytest.approx([0.0])


def test_a_dead_current_is_told_and_does_not_stop() -> None:
    hz = np.array([100.0, 200.0])
    got = impedance(phasors(hz, np.ones(2)), current=phasors(hz, np.array([0.1, 0.0])))
    assert np.isfinite(got.value[0])
    assert not np.isfinite(got.value[1])


def test_points_that_differ_are_refused() -> None:
    a, b = phasors(np.array([1.0]), np.ones(1)), phasors(np.array([2.0]), np.ones(1))
    with pytest.raises(DspError, match="impedance: frequencies differ"):
        impedance(a, current=b)
    with pytest.raises(DspError, match="resistor_ohm negative"):
        impedance_from_source(a, current=a, resistor_ohm=-1.0)
