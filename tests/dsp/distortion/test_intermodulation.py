"""Intermodulation of a known polynomial in closed form, alone and in noise of known size.

y = x + 0.1 x^2 + 0.05 x^3 of two sines A1, A2: products of second order 0.1 A1 A2, of third order
3/4 0.05 A1^2 A2; a tone A2 itself comes out as A2 + 0.05 (3/4 A2^3 + 3/2 A1^2 A2). Definitions:
IEC 60268-3.
"""

import numpy as np
import pytest

from dsp import DspError, Floats, Number
from dsp.distortion.intermodulation import (
    difference_frequency_distortion,
    modulation_distortion,
)
from dsp.distortion.multitone_distortion import multitone_distortion
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment
from dsp.excitation.two_tones import two_tones
from dsp.response.line_spectrum import LineSpectrum, line_spectrum

RATE = 48_000.0


def pair(low_hz: float, high_hz: float, *, lower: float, higher: float) -> Excitation:
    part = two_tones(
        sample_rate_hz=RATE,
        low_hz=low_hz,
        high_hz=high_hz,
        ratio=lower / higher,
        duration_s=1.0,
        rms_v=np.sqrt((lower**2 + higher**2) / 2),
    )
    return assemble([part], sample_rate_hz=RATE)


def chord(*lines: int, peak: float, periods: int) -> Excitation:
    """Lines of equal amplitude on bins of 2 Hz."""
    period = 24_000
    angle = 2 * np.pi * np.arange(period * periods) / period
    samples = peak * np.sum([np.sin(line * angle) for line in lines], axis=0)
    hz = np.array(lines) * 2.0
    segment = BroadbandSegment(
        start=0, stop=samples.size, low_hz=hz[0], high_hz=hz[-1], frequency_hz=hz, period=period
    )
    return assemble([Rendered(samples=samples, segment=segment)], sample_rate_hz=RATE)


def bent(x: Floats) -> Floats:
    return x + 0.1 * x**2 + 0.05 * x**3


def read(heard: Floats, played: Excitation) -> LineSpectrum:
    return line_spectrum(heard, excitation=played, segment_index=0)


def close(number: Number, percent: float) -> None:
    assert not number.is_bound
    assert number.value == pytest.approx(percent, abs=1e-6)


def test_modulation_of_a_polynomial_is_that_of_its_products() -> None:
    played = pair(72, 7000, lower=0.8, higher=0.2)
    got = modulation_distortion(read(bent(played.samples), played), ratio_uncertainty_db=0.0)
    # Carrier 0.2099; each sideband 0.016 and 0.0048.
    close(got.second, 100 * 2 * 0.016 / 0.2099)
    close(got.second, 15.245355)
    close(got.third, 4.573606)
    close(got.total, 11.254748)  # adding amplitudes instead of powers gives 19.8


def test_difference_frequency_of_a_polynomial_is_that_of_its_products() -> None:
    played = pair(19_000, 20_000, lower=0.5, higher=0.5)
    got = difference_frequency_distortion(
        read(bent(played.samples), played), ratio_uncertainty_db=0.0
    )
    # Each tone 0.5140625, 1 kHz 0.025, 18 and 21 kHz 0.0046875.
    close(got.second, 2.431611)
    close(got.third, 0.911854)


def test_a_linear_system_has_none() -> None:
    played = pair(72, 7000, lower=0.8, higher=0.2)
    got = modulation_distortion(read(0.3 * played.samples, played), ratio_uncertainty_db=0.0)
    for number in (got.second, got.third, got.total):
        assert number.value < 1e-9


def test_the_power_between_the_lines_is_that_of_all_products() -> None:
    # x + a x^2 of lines A at bins 100, 230, 510: three of a A^2 / 2 at twice, six of a A^2 at
    # sums and differences, none on a line; re 3 A^2 / 2: (1.5 a A)^2.
    played = chord(100, 230, 510, peak=1.0, periods=4)
    heard = played.samples + 0.01 * played.samples**2
    got = multitone_distortion(read(heard, played), ratio_uncertainty_db=0.0)
    close(got.total, 1.5)
    # 2 kHz third: 1020 alone, (a A^2 / 2)^2 / 2 re 3 A^2 / 2.
    at = np.argmin(np.abs(got.bands.frequency_hz - 2000))
    assert got.bands.value[at] == pytest.approx(10 * np.log10(0.01**2 / 4 / 3), abs=1e-6)
    assert got.bands.unit == "dB"


def test_one_period_to_read_takes_its_noise_from_the_silence() -> None:
    played = chord(100, 230, 510, peak=1.0, periods=2)
    rng = np.random.default_rng(3)
    noise = 1e-3 * rng.standard_normal(played.samples.size)
    got = read(played.samples + noise, played)
    # White noise of s in n samples: s / sqrt(n) rms in either part of an rms phasor, sqrt(2) off.
    wanted = 1e-3 / np.sqrt(24_000)
    assert np.sqrt(np.mean(got.noise[50:11_000] ** 2)) == pytest.approx(wanted, rel=0.1)


def test_an_interval_holds_the_truth_in_95_of_100_takes() -> None:
    played = pair(72, 7000, lower=0.8, higher=0.2)
    rng = np.random.default_rng(11)
    found: dict[str, list[Number]] = {"second": [], "total": []}
    for _ in range(200):
        heard = bent(played.samples) + 0.02 * rng.standard_normal(played.samples.size)
        got = modulation_distortion(read(heard, played), ratio_uncertainty_db=0.0)
        found["second"].append(got.second)
        found["total"].append(got.total)
    for name, truth in (("second", 15.245355), ("total", 11.254748)):
        check(found[name], truth=truth)


def test_so_does_that_of_a_multitone() -> None:
    played = chord(100, 230, 510, peak=1.0, periods=4)
    rng = np.random.default_rng(12)
    clean = played.samples + 0.01 * played.samples**2
    found = []
    for _ in range(200):
        heard = clean + 5e-3 * rng.standard_normal(clean.size)
        found.append(multitone_distortion(read(heard, played), ratio_uncertainty_db=0.0).total)
    check(found, truth=1.5)


def check(found: list[Number], *, truth: float) -> None:
    assert not any(number.is_bound for number in found)
    held = [abs(one.value - truth) <= (one.uncertainty or 0.0) for one in found]
    # 0.954 within four standard errors of 200 takes, and no wider than needed.
    assert np.mean(held) > 0.954 - 4 * np.sqrt(0.046 * 0.954 / len(held))
    values = [one.value for one in found]
    widest = np.mean([one.uncertainty or 0.0 for one in found]) / np.std(values)
    assert 1.6 < widest < 2.8
    assert np.mean(values) == pytest.approx(truth, abs=4 * np.std(values) / np.sqrt(len(values)))


def test_what_noise_hides_is_a_bound_that_holds() -> None:
    played = pair(72, 7000, lower=0.8, higher=0.2)
    rng = np.random.default_rng(5)
    for _ in range(50):
        heard = bent(played.samples) + 1.0 * rng.standard_normal(played.samples.size)
        third = modulation_distortion(read(heard, played), ratio_uncertainty_db=0.1).third
        assert third.is_bound
        assert third.how.endswith("noise hides it")
        assert third.value > 4.573606
        assert third.uncertainty is None


def test_the_chain_s_share_joins_the_interval() -> None:
    played = pair(72, 7000, lower=0.8, higher=0.2)
    got = modulation_distortion(read(bent(played.samples), played), ratio_uncertainty_db=0.5)
    # 0.5 dB is 0.5 ln(10) / 20 of the value.
    assert got.second.uncertainty == pytest.approx(15.245355 * 0.0575646, rel=1e-4)


def test_other_than_two_tones_are_refused() -> None:
    three = chord(100, 230, 510, peak=1.0, periods=4)
    with pytest.raises(DspError, match="lines played: given 3 lines, allowed two"):
        modulation_distortion(read(three.samples, three), ratio_uncertainty_db=0.0)
    far = pair(72, 7000, lower=0.8, higher=0.2)
    with pytest.raises(DspError, match="within an octave"):
        difference_frequency_distortion(read(far.samples, far), ratio_uncertainty_db=0.0)
    top = pair(10_000, 23_900, lower=0.5, higher=0.5)
    with pytest.raises(DspError, match="products outside the spectrum"):
        modulation_distortion(read(top.samples, top), ratio_uncertainty_db=0.0)
