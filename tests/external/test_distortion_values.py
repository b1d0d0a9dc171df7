"""Distortion of known curves, from the signal as played to the figure on the screen.

Sources: A. Novak, P. Lotton, L. Simon, "Synchronized Swept-Sine", J. Audio Eng. Soc. 63 (2015)
786-798 (harmonics of a static curve); M. Abramowitz, I. Stegun, Handbook of Mathematical
Functions (1964), ch. 22 (Chebyshev polynomials); Fourier series of the classic waves. The figures
follow from closed forms that are named beside them.
"""

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from scipy import signal

from dsp import Floats
from dsp.distortion.equivalent_input import equivalent_input
from dsp.distortion.harmonic_curves import harmonic_curve, high_order, thd
from dsp.excitation.assemble import assemble
from dsp.excitation.log_sweep import log_sweep
from dsp.excitation.tones import tones
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import quiet_noise
from dsp.response.sweep_answer import sweep_answer
from dsp.response.tone_answer import tone_answer

Bend = Callable[[Floats], Floats]


def polynomial(x: Floats) -> Floats:
    return x + 0.1 * x**2 + 0.05 * x**3


def chebyshev(weights: Sequence[float]) -> Bend:
    """A curve that gives a cosine of full swing harmonics of these amplitudes."""

    def bend(x: Floats) -> Floats:
        out: Floats = np.polynomial.chebyshev.chebval(x, np.array(weights))
        return out

    return bend


def from_tone(bend: Bend, *, peak: float, orders: int, hz: float = 93.75) -> Harmonics:
    """A long tone through a static curve; 93.75 Hz has 512 samples a period at 48 kHz."""
    part = tones(sample_rate_hz=48_000, hz=[hz], dwell_s=0.4, peak_v=peak)
    played = assemble([part], sample_rate_hz=48_000, mark_peak_v=peak)
    return tone_answer(bend(played.samples), excitation=played, segment_index=0, orders=orders)


def from_sweep(bend: Bend, *, peak: float, orders: int, at_hz: Floats) -> Harmonics:
    """Two seconds from an octave below 20 Hz through a static curve."""
    part = log_sweep(sample_rate_hz=48_000, start_hz=10, stop_hz=20_000, duration_s=2, peak_v=peak)
    played = assemble([part], sample_rate_hz=48_000)
    heard = bend(played.samples)
    return sweep_answer(
        heard,
        excitation=played,
        segment_index=0,
        orders=orders,
        frequency_hz=at_hz,
        noise=quiet_noise(heard, excitation=played),
    ).harmonics


# y = x + 0.1 x^2 + 0.05 x^3 at x = A sin: h1 = A + 3/4 0.05 A^3, h2 = 1/2 0.1 A^2,
# h3 = 1/4 0.05 A^3


@pytest.mark.parametrize(
    ("peak", "h1", "h2_db", "h3_db", "thd_percent"),
    [
        (1.0, 1.0375, -26.3404, -38.3816, 4.967597),
        (0.5, 0.5046875, -32.1223, -50.1841, 2.496055),
        (0.1, 0.1000375, -46.0239, -78.0651, 0.499969),
    ],
)
class TestPolynomial:
    def test_a_steady_tone_gives_its_harmonics_exactly(
        self, *, peak: float, h1: float, h2_db: float, h3_db: float, thd_percent: float
    ) -> None:
        got = from_tone(polynomial, peak=peak, orders=5)
        assert abs(got.fundamental[0]) * np.sqrt(2) == pytest.approx(h1, rel=1e-9)
        assert harmonic_curve(got, order=2).value[0] == pytest.approx(h2_db, abs=5e-5)
        assert harmonic_curve(got, order=3).value[0] == pytest.approx(h3_db, abs=5e-5)
        assert thd(got, orders=[2, 3]).value[0] == pytest.approx(thd_percent, abs=5e-7)

    def test_a_sweep_gives_them_to_a_hundredth_of_a_decibel(
        self, *, peak: float, h1: float, h2_db: float, h3_db: float, thd_percent: float
    ) -> None:
        got = from_sweep(polynomial, peak=peak, orders=3, at_hz=np.array([300.0, 1000.0, 3000.0]))
        level = 20 * np.log10(np.abs(got.fundamental) * np.sqrt(2) / h1)
        np.testing.assert_allclose(level, 0, atol=0.01)
        np.testing.assert_allclose(harmonic_curve(got, order=2).value, h2_db, atol=0.01)
        np.testing.assert_allclose(harmonic_curve(got, order=3).value, h3_db, atol=0.01)
        np.testing.assert_allclose(thd(got, orders=[2, 3]).value, thd_percent, rtol=1.2e-3)


def test_low_in_the_band_a_sweep_s_second_harmonic_is_within_three_tenths_of_a_decibel() -> None:
    got = from_sweep(polynomial, peak=1.0, orders=3, at_hz=np.array([50.0, 70.0, 100.0, 200.0]))
    np.testing.assert_allclose(harmonic_curve(got, order=2).value, -26.3404, atol=0.3)
    np.testing.assert_allclose(harmonic_curve(got, order=3).value, -38.3816, atol=0.3)


@pytest.mark.parametrize("way", ["tone", "sweep"])
def test_the_phases_of_the_harmonics_are_those_of_the_curve(way: str) -> None:
    # sin^2 = 1/2 - 1/2 cos 2wt: the second at -90 deg, the third at 180 deg. Harmonics counts
    # from the crest of the drive, n (wt - 90 deg): and h2, h3 of a positive curve are positive.
    if way == "tone":
        got = from_tone(polynomial, peak=1.0, orders=3)
    else:
        got = from_sweep(polynomial, peak=1.0, orders=3, at_hz=np.array([1000.0]))
    phase_deg = np.angle(got.amplitude[:, 0], deg=True)
    np.testing.assert_allclose(phase_deg, 0, atol=1e-6 if way == "tone" else 0.5)


@pytest.mark.parametrize("order", range(2, 21))
def test_a_chebyshev_polynomial_makes_its_own_order_and_no_other(order: int) -> None:
    weights = [0.0, 1.0] + [0.0] * (order - 2) + [0.01]
    got = from_tone(chebyshev(weights), peak=1.0, orders=20)
    levels = np.abs(got.amplitude[:, 0]) * np.sqrt(2)
    wanted = np.zeros(20)
    wanted[0], wanted[order - 1] = 1.0, 0.01
    np.testing.assert_allclose(levels, wanted, atol=1e-11)
    assert harmonic_curve(got, order=order).value[0] == pytest.approx(-40, abs=1e-8)


# A sine clipped at c: b1 = 2/pi (a + sin a cos a), a = asin c; h_n by quadrature


@pytest.mark.parametrize(
    ("clip", "thd_percent", "odd_percent"),
    [
        (0.9, 4.21993, (3.28632, 2.28728, 1.19547, 0.30665)),
        (0.7, 13.75879, (13.32756, 2.45227, 1.97552, 0.77986)),
        (0.5, 23.29381, (22.63263, 4.52653, 1.61662, 2.26326)),
        (0.3, 32.95923, (29.38305, 13.39867, 5.85310, 1.69930)),
    ],
)
def test_a_clipped_sine_has_the_distortion_of_its_fourier_series(
    clip: float, thd_percent: float, odd_percent: tuple[float, ...]
) -> None:
    got = from_tone(lambda x: np.clip(x, -clip, clip), peak=1.0, orders=120)
    for order, percent in zip((3, 5, 7, 9), odd_percent, strict=True):
        ratio = 10 ** (harmonic_curve(got, order=order).value[0] / 20)
        assert 100 * ratio == pytest.approx(percent, abs=0.01)  # 1e-4 of h1
    # All orders there are below the Nyquist frequency; 1e-4 for those beyond 120.
    whole = thd(got, orders=range(2, 121)).value[0]
    assert whole == pytest.approx(thd_percent, rel=2e-4)
    re_total = 100 / np.sqrt(1 + (100 / thd_percent) ** 2)
    assert abs(whole - re_total) > 10 * abs(whole - thd_percent)


# Classic waves, summed from their series, up to an order


@pytest.mark.parametrize(
    ("wave", "up_to"),
    [
        ("square", {3: 33.333333, 5: 38.873013, 9: 42.879477, 10: 42.879477, 20: 45.686028}),
        ("triangle", {3: 11.111111, 5: 11.809182, 9: 12.047650, 10: 12.047650, 20: 12.106734}),
        ("sawtooth", {3: 60.092521, 5: 68.088994, 9: 73.468887, 10: 74.146324, 20: 77.211608}),
    ],
)
def test_classic_waves_have_the_distortion_of_their_first_orders(
    wave: str, up_to: dict[int, float]
) -> None:
    n = np.arange(1, 21)
    odd = n % 2
    amplitude = {"square": odd / n, "triangle": odd / n**2, "sawtooth": 1 / n}[wave]
    got = from_tone(chebyshev([0.0, *amplitude]), peak=1.0, orders=20)
    for order, percent in up_to.items():
        assert thd(got, orders=range(2, order + 1)).value[0] == pytest.approx(percent, abs=5e-6)


def test_a_rectified_sine_has_no_fundamental_and_so_no_distortion_figure() -> None:
    got = from_tone(np.abs, peak=1.0, orders=6)
    # 4 / pi / (4 k^2 - 1)
    series = [0.42441318, 0.08488264, 0.03637827]
    np.testing.assert_allclose(np.abs(got.amplitude[1::2, 0]) * np.sqrt(2), series, rtol=0.01)
    assert np.isnan(thd(got, orders=[2, 3, 4, 5, 6]).value[0])


def test_a_half_wave_s_second_harmonic_is_42_4_percent_of_its_fundamental() -> None:
    got = from_tone(lambda x: np.maximum(x, 0), peak=1.0, orders=4)
    assert abs(got.fundamental[0]) * np.sqrt(2) == pytest.approx(0.5, rel=1e-4)
    ratio = thd(got, orders=[2]).value[0]
    assert ratio == pytest.approx(100 * 0.21220659 / 0.5, rel=1e-3)


# Powers add


def test_orders_add_in_power() -> None:
    weights = [0, 1, 1e-2, 10**-2.5, 1e-3]
    got = from_tone(chebyshev(weights), peak=1.0, orders=4)
    assert thd(got, orders=[2, 3, 4]).value[0] == pytest.approx(1.05356538, rel=1e-8)
    weights = [0, 1] + [0] * 8 + [10**-3.5] * 6
    got = from_tone(chebyshev(weights), peak=1.0, orders=20)
    level_db = 20 * np.log10(high_order(got, orders=range(10, 16)).value[0] / 100)
    assert level_db == pytest.approx(-62.218487, abs=1e-6)


# Referred to the input (IEC 60268-21): a filter behind the curve, here a resonance of Q = 3 at
# 500 Hz, changes the harmonics that are heard and not the equivalent input distortion.


def test_a_filter_behind_a_curve_leaves_its_equivalent_input_distortion() -> None:
    numerator, denominator = signal.iirpeak(500, Q=3, fs=48_000)

    def heard(x: Floats) -> Floats:
        bent = polynomial(x)
        return np.asarray(0.1 * bent + signal.lfilter(numerator, denominator, bent))

    at_hz = 100 * 2 ** (np.arange(0, 4 * 48 + 1) / 48)
    got = from_sweep(heard, peak=1.0, orders=3, at_hz=at_hz)
    played = Harmonics(
        frequency_hz=at_hz,
        amplitude=np.full((1, at_hz.size), np.sqrt(0.5), dtype=np.complex128),
        noise=np.zeros((1, at_hz.size)),
    )
    referred = equivalent_input(got, voltage=played)
    # A sweep is a transient: beside a resonance an order is as much off as it is heard to be.
    for order, level_db in ((2, -26.3404), (3, -38.3816)):
        plain, own = (harmonic_curve(one, order=order).value for one in (got, referred))
        inside = np.isfinite(own) & (at_hz > 200)
        assert np.max(np.abs(plain[inside] - level_db)) > 6
        np.testing.assert_allclose(own[inside], level_db, atol=0.1)


def test_a_clipped_sine_reads_the_same_from_a_sweep() -> None:
    # Orders 3, 5, 7, 9 of a sine clipped at 0.7 of its peak, as above; higher up, orders beyond
    # the Nyquist frequency fold back.
    got = from_sweep(
        lambda x: np.clip(x, -0.7, 0.7), peak=1.0, orders=9, at_hz=np.array([200.0, 300.0, 400.0])
    )
    for order, percent in ((3, 13.32756), (5, 2.45227), (7, 1.97552), (9, 0.77986)):
        ratio = 10 ** (harmonic_curve(got, order=order).value / 20)
        np.testing.assert_allclose(100 * ratio, percent, atol=0.02)
