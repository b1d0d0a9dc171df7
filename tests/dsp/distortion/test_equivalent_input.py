"""Equivalent input distortion: its definition in numbers, and where it cannot be told."""

from collections.abc import Sequence

import numpy as np
import pytest

from dsp import Complexes, DspError, Floats
from dsp.distortion.equivalent_input import equivalent_input
from dsp.distortion.harmonic_curves import harmonic_curve, thd
from dsp.response.harmonics import Harmonics

OCTAVES = np.arange(0, 6 + 1 / 96, 1 / 48)
HZ = 50.0 * 2**OCTAVES


def harmonics(rows: Sequence[Complexes | Floats], *, noise: float | Floats = 0.0) -> Harmonics:
    amplitude = np.array(rows, dtype=np.complex128)
    spread = np.broadcast_to(np.asarray(noise), amplitude.shape).astype(np.float64)
    return Harmonics(frequency_hz=HZ, amplitude=amplitude, noise=spread)


def volts(of: Floats | float = 1.0) -> Harmonics:
    return harmonics([np.broadcast_to(of, HZ.shape)])


def resonant(hz: Floats) -> Complexes:
    """A high-pass of second order at 200 Hz, Q = 3: what a filter after the curve may be."""
    s = 1j * hz / 200
    out: Complexes = s**2 / (s**2 + s / 3 + 1)
    return out


@pytest.mark.parametrize(
    ("harmonic_db", "gain_db", "input_db", "input_percent"),
    # Harmonic re fundamental less |H(nf)| re |H(f)|: IEC 60268-21, worked in numbers.
    [(-40, 6, -46, 0.501187), (-40, -12, -28, 3.981072), (-60, 20, -80, 0.01)],
)
def test_the_response_between_fundamental_and_harmonic_is_taken_off(
    *, harmonic_db: float, gain_db: float, input_db: float, input_percent: float
) -> None:
    slope = 10 ** (gain_db * OCTAVES / 20)  # so many dB an octave, hence at twice f
    got = equivalent_input(harmonics([slope, slope * 10 ** (harmonic_db / 20)]), voltage=volts())
    level = harmonic_curve(got, order=2)
    known = np.isfinite(level.value)
    assert known.sum() == HZ.size - 48  # up to half of the highest frequency
    np.testing.assert_allclose(level.value[known], input_db, atol=1e-9)
    np.testing.assert_allclose(thd(got, orders=[2]).value[known], input_percent, rtol=1e-6)
    assert level.valid.high_hz == pytest.approx(HZ[-1] / 2)
    assert level.valid.high_reason == "order 2"


def test_a_curve_before_a_filter_tells_the_same_whatever_the_filter() -> None:
    # y = x + 0.1 x^2 + 0.05 x^3 at A = 1 (J. Audio Eng. Soc. 63 (2015) 786): -26.3404, -38.3816.
    before = [1.0375, 0.05, 0.0125]
    after = [before[n] * resonant((n + 1) * HZ) for n in range(3)]
    got = equivalent_input(harmonics(after), voltage=volts())
    # H is p_1 / v: it holds the curve's own gain, 1.0375, as any linear gain.
    for order, wanted in ((2, -26.3404), (3, -38.3816)):
        level = harmonic_curve(got, order=order).value
        np.testing.assert_allclose(level[np.isfinite(level)], wanted, atol=0.001)


def test_a_curve_after_the_filter_does_not() -> None:
    first = resonant(HZ)
    got = equivalent_input(harmonics([first, 0.05 * first**2]), voltage=volts())
    level = harmonic_curve(got, order=2).value
    assert np.nanmax(level) - np.nanmin(level) > 10


def test_a_drive_that_differs_over_frequency_is_no_response() -> None:
    sent = 2.83 * 10 ** (-0.5 * OCTAVES / 20)
    got = equivalent_input(harmonics([0.1 * sent, 0.001 * sent]), voltage=volts(sent))
    # 0.001 v(f) at 2f, re what 1 V at 2f gives, re v(f).
    level = harmonic_curve(got, order=2).value
    np.testing.assert_allclose(level[np.isfinite(level)], -40, atol=1e-9)


def test_where_the_response_at_the_harmonic_is_lost_in_noise_nothing_is_told_but_a_bound() -> None:
    first = np.where(HZ < 1000, 1.0, 1e-3)
    got = equivalent_input(harmonics([first, 0.01 * first], noise=1e-3), voltage=volts())
    level = harmonic_curve(got, order=2)
    assert level.is_bound is not None
    assert level.is_bound[(HZ > 510) & (HZ < 1500)].all()
    clear = harmonic_curve(
        equivalent_input(harmonics([np.ones(HZ.size), 0.01 * first], noise=1e-4), voltage=volts()),
        order=2,
    )
    assert clear.is_bound is not None
    assert not clear.is_bound[HZ < 990].any()


def test_between_far_points_no_response_is_made_up() -> None:
    sparse = Harmonics(
        frequency_hz=np.array([60.0, 100.0, 120.0, 160.0]),
        amplitude=np.array([[1.0] * 4, [0.01] * 4], dtype=np.complex128),
        noise=np.zeros((2, 4)),
    )
    drive = Harmonics(
        frequency_hz=sparse.frequency_hz,
        amplitude=np.ones((1, 4), dtype=np.complex128),
        noise=np.zeros((1, 4)),
    )
    got = np.abs(equivalent_input(sparse, voltage=drive).amplitude[1])
    # 120 Hz was played; 200, 240, 320 Hz were not.
    np.testing.assert_array_equal(np.isfinite(got), [True, False, False, False])
    wide = Harmonics(
        frequency_hz=np.array([60.0, 100.0, 160.0]),
        amplitude=sparse.amplitude[:, :3],
        noise=sparse.noise[:, :3],
    )
    three = Harmonics(
        frequency_hz=wide.frequency_hz, amplitude=drive.amplitude[:, :3], noise=drive.noise[:, :3]
    )
    assert np.isnan(equivalent_input(wide, voltage=three).amplitude[1]).all()


def test_voltage_and_pressure_of_different_frequencies_are_refused() -> None:
    other = Harmonics(
        frequency_hz=HZ[:-1],
        amplitude=np.ones((1, HZ.size - 1), dtype=np.complex128),
        noise=np.zeros((1, HZ.size - 1)),
    )
    with pytest.raises(DspError, match="different frequencies"):
        equivalent_input(harmonics([np.ones(HZ.size)]), voltage=other)
