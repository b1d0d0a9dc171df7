import numpy as np
import pytest

from dsp import DspError
from dsp.acoustic.minimum_phase import minimum_phase

HZ = np.geomspace(1.0, 1e6, 600)
AT = np.array([100.0, 500.0, 1000.0, 5000.0])


def test_a_first_order_low_pass_has_45_degrees_at_its_corner() -> None:
    # 1 / (1 + jf/f0): -45 degrees at f0, -26.565051 at half of it (closed form).
    log = -0.5 * np.log(1 + (HZ / 1000) ** 2)
    got = minimum_phase(log, frequency_hz=HZ, at_hz=AT, low_slope=0, high_slope=-1)
    np.testing.assert_allclose(np.degrees(got), -np.degrees(np.arctan(AT / 1000)), atol=2e-3)
    assert np.degrees(got[1]) == pytest.approx(-26.565051, abs=2e-3)


def test_a_resonance_has_the_phase_of_its_closed_form() -> None:
    s = 1j * HZ / 300
    transfer = s**2 / (s**2 + s / 3 + 1)
    got = minimum_phase(
        np.log(np.abs(transfer)), frequency_hz=HZ, at_hz=AT, low_slope=2, high_slope=0
    )
    x = 1j * AT / 300
    np.testing.assert_allclose(got, np.angle(x**2 / (x**2 + x / 3 + 1)), atol=1e-3)


def test_a_straight_line_turns_by_90_degrees_for_each_6_db_an_octave() -> None:
    log = -1.5 * np.log(HZ)
    got = minimum_phase(log, frequency_hz=HZ, at_hz=AT, low_slope=-1.5, high_slope=-1.5)
    np.testing.assert_allclose(np.degrees(got), -135, atol=1e-9)


def test_level_alone_turns_nothing() -> None:
    log = np.full(HZ.size, 7.3)
    got = minimum_phase(log, frequency_hz=HZ, at_hz=AT, low_slope=0, high_slope=0)
    np.testing.assert_allclose(got, 0, atol=1e-12)


def test_one_point_is_refused() -> None:
    with pytest.raises(DspError, match="too few points"):
        minimum_phase(np.zeros(1), frequency_hz=HZ[:1], at_hz=AT, low_slope=0, high_slope=0)
