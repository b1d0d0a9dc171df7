import numpy as np
import pytest

from dsp import DspError
from dsp.electrical.unit_voltage import known_source, unit_voltage
from dsp.response.harmonics import Harmonics
from tests.dsp.analytic_unit import AnalyticUnit, log_frequencies, phasors


def test_the_source_less_the_drop_is_what_lies_across_the_unit() -> None:
    hz = log_frequencies(per_octave=6)
    z = AnalyticUnit().impedance(hz)
    current = phasors(hz, 2.0 / (z + 0.22))
    source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
    got = unit_voltage(source, current=current, resistor_ohm=0.22)
    np.testing.assert_allclose(got.fundamental, current.fundamental * z, rtol=1e-12)


def test_harmonics_of_the_voltage_are_the_drop_of_those_of_the_current() -> None:
    hz = np.array([100.0, 200.0])
    current = Harmonics(
        frequency_hz=hz,
        amplitude=np.array([[0.2, 0.2], [0.01j, 0.02]], dtype=np.complex128),
        noise=np.full((2, 2), 1e-4),
    )
    source = known_source(frequency_hz=hz, source_v_rms=np.array([2.0, 1.0]), orders=2)
    got = unit_voltage(source, current=current, resistor_ohm=0.5)
    truth = np.array([[1.9, 0.9], [-0.005j, -0.01]], dtype=np.complex128)
    assert np.max(np.abs(got.amplitude - truth)) < 1e-15
    np.testing.assert_allclose(got.noise, 0.5e-4)


def test_noise_of_source_and_drop_adds_in_power() -> None:
    hz = np.array([100.0])
    source, current = phasors(hz, np.array([2.0]), noise=3e-3), phasors(hz, np.ones(1), noise=4e-3)
    assert unit_voltage(source, current=current, resistor_ohm=1.0).noise[0, 0] == pytest.approx(
        5e-3
    )


def test_channels_of_other_points_or_orders_are_refused() -> None:
    hz = np.array([100.0, 200.0])
    one = phasors(hz, np.ones(2))
    with pytest.raises(DspError, match="unit_voltage: frequencies differ"):
        unit_voltage(one, current=phasors(hz * 2, np.ones(2)), resistor_ohm=0.1)
    two = known_source(frequency_hz=hz, source_v_rms=1.0, orders=2)
    with pytest.raises(DspError, match="unit_voltage: orders differ: given 2 and 1"):
        unit_voltage(two, current=one, resistor_ohm=0.1)
    with pytest.raises(DspError, match="resistor_ohm negative"):
        unit_voltage(one, current=one, resistor_ohm=-0.1)
