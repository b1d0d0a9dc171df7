"""The sweep: its arithmetic, its spectrum, and its analysis beside an independent library's.

Sources: A. Farina, AES 108th Convention (2000), preprint 5093 (rate, lead of the harmonics);
S. Müller, P. Massarani, "Transfer-Function Measurement with Sweeps", J. Audio Eng. Soc. 49 (2001)
443-471 (spectrum, crest factor); A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015)
786-798 (synchronized rate). Witness: pyfar 0.8.1. Each figure is for 20 Hz to 20 kHz in 5 s.
"""

from itertools import pairwise

import numpy as np
import pyfar
import pytest

from dsp import Complexes, Floats
from dsp.excitation.crest import crest_db
from dsp.excitation.log_sweep import log_sweep
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import LogSweepSegment
from dsp.response.order_window import order_window
from dsp.response.quiet_noise import quiet_noise
from dsp.response.sweep_answer import sweep_answer
from tests.dsp.response.played import Resonant, answer, distorted, one_sweep, wire

RATE = 48_000
# L = T / ln(f2 / f1), and L ln n for orders 2, 3, 10; s
RATE_S = 0.723824137
LEAD_S = {2: 0.5017167, 3: 0.7952021, 10: 1.6666667}


def five_seconds() -> Rendered:
    return log_sweep(
        sample_rate_hz=RATE, start_hz=20, stop_hz=20_000, duration_s=5, peak_v=np.sqrt(2)
    )


def segment_of(rendered: Rendered) -> LogSweepSegment:
    assert isinstance(rendered.segment, LogSweepSegment)
    return rendered.segment


def deconvolved(heard: Floats, played: Floats, *, low_hz: float, high_hz: float) -> Floats:
    """The impulse response that pyfar finds, circular; negative times lie at the end."""
    size = 2 ** int(np.ceil(np.log2(2 * played.size)))
    padded = np.pad(played, (0, size - played.size))
    inversion = pyfar.dsp.RegularizedSpectrumInversion.from_frequency_range(
        pyfar.Signal(padded, RATE), (low_hz, high_hz), beta="max"
    )
    found = pyfar.Signal(np.pad(heard, (0, size - heard.size)), RATE) * inversion.invert
    return np.asarray(found.time[0])


def test_the_rate_is_farina_s_and_not_rounded() -> None:
    got = segment_of(five_seconds()).rate_s
    assert got == pytest.approx(RATE_S, rel=1e-9)
    assert abs(got - 0.7) > 0.02  # the synchronized rate: it would shorten the sweep by 165 ms


def test_every_sample_is_that_of_an_independent_library_s_sweep() -> None:
    witness = pyfar.signals.exponential_sweep_time(
        5 * RATE, [20, 20_000], n_fade_out=0, sampling_rate=RATE
    )
    # Ours goes on above 20 kHz before it fades.
    got = five_seconds().samples[: 5 * RATE] / np.sqrt(2)
    np.testing.assert_allclose(got, witness.time[0], rtol=0, atol=1e-8)


def test_it_takes_half_a_second_an_octave_and_a_third_of_its_time_a_decade() -> None:
    # Zeros of the sine lie at t = L ln(1 + k / (2 f1 L)): between f and 2 f, 0.501717 s.
    samples = five_seconds().samples[: 5 * RATE]
    rising = np.flatnonzero((samples[:-1] < 0) & (samples[1:] >= 0))
    zero = rising - samples[rising] / (samples[rising + 1] - samples[rising])
    frequency_hz = RATE / np.diff(zero)
    when_s = (zero[1:] + zero[:-1]) / 2 / RATE
    at = [float(np.interp(np.log(f), np.log(frequency_hz), when_s)) for f in (100, 200, 1000)]
    assert at[1] - at[0] == pytest.approx(0.501717, abs=2e-4)
    assert at[2] - at[0] == pytest.approx(5 / 3, abs=2e-4)


def test_its_spectrum_falls_by_10_db_a_decade_from_half_the_root_of_l_over_f() -> None:
    samples = five_seconds().samples / np.sqrt(2)
    spectrum = np.abs(np.fft.rfft(samples)) / RATE
    f = np.fft.rfftfreq(samples.size, 1 / RATE)
    levels = []
    for hz in (100.0, 1000.0, 10_000.0):
        near = (f > 0.9 * hz) & (f < 1.1 * hz)
        # Mean of 1/f over the band, as the power is averaged over it.
        wanted = 0.5 * np.sqrt(RATE_S * np.mean(1 / f[near]))
        got = np.sqrt(np.mean(spectrum[near] ** 2))
        assert 20 * np.log10(got / wanted) == pytest.approx(0, abs=0.05)
        levels.append(20 * np.log10(got))
    for high, low in pairwise(levels):
        assert low - high == pytest.approx(-10, abs=0.1)  # not -20: amplitude, not power, falls


def test_its_crest_factor_is_a_sine_s() -> None:
    samples = five_seconds().samples[: 5 * RATE]
    assert np.sqrt(np.mean(samples**2)) == pytest.approx(1.0, rel=2e-4)
    assert crest_db(samples) == pytest.approx(3.0103, abs=0.002)


@pytest.mark.parametrize("order", sorted(LEAD_S))
def test_a_harmonic_comes_ahead_of_the_fundamental_by_l_ln_n(order: int) -> None:
    # T_n(sin) makes order n alone; what deconvolution by an independent library makes of it lies
    # at -L ln n: later, and not at +L ln n.
    rendered = five_seconds()
    cosine = np.zeros(order + 1)
    cosine[order] = 1.0
    bent = np.polynomial.chebyshev.chebval(rendered.samples / np.sqrt(2), cosine)
    found = deconvolved(bent, rendered.samples, low_hz=20, high_hz=20_000)
    peak = int(np.argmax(np.abs(found)))
    lead_s = (found.size - peak) / RATE
    assert lead_s == pytest.approx(LEAD_S[order], abs=2.5 / RATE)


@pytest.mark.parametrize(
    ("order", "room_s"), [(1, 0.485203), (2, 0.283826), (3, 0.201377), (9, 0.073752)]
)
def test_windows_of_neighbouring_orders_fit_into_the_room_between_them(
    order: int, room_s: float
) -> None:
    # L ln((n + 1) / n) at the synchronized L of 0.7 s: a longer window would see two orders.
    low = order_window(order=order, rate_s=0.7, sample_rate_hz=RATE)
    high = order_window(order=order + 1, rate_s=0.7, sample_rate_hz=RATE)
    assert (low.before + high.after) / RATE <= room_s
    assert high.after > 0


# A pyfar analysis of the same recording, by its own regularised inversion


def ours_over_theirs(heard: Floats, *, gate_s: float) -> tuple[Floats, Complexes]:
    """Frequencies, and our response over that of the witness."""
    played = one_sweep(duration_s=2.0)
    sweep = played.segments[0]
    hz = np.geomspace(40, 18_000, 90)
    ours = sweep_answer(
        heard,
        excitation=played,
        segment_index=0,
        orders=2,
        frequency_hz=hz,
        noise=quiet_noise(heard, excitation=played),
    ).harmonics.fundamental / (4 / np.sqrt(2))
    # The marks would come in twice: the witness is given the sweep and what follows it alone.
    stop = played.mark_starts[1]
    alone = np.zeros(played.samples.size)
    alone[sweep.start : sweep.stop] = played.samples[sweep.start : sweep.stop]
    whole = heard.copy()
    whole[: sweep.start] = 0.0
    whole[stop:] = 0.0
    impulse = deconvolved(whole, alone, low_hz=10, high_hz=20_000)
    # Gated, so that no harmonic is in it: from 20 ms before time zero on.
    before, after = round(0.02 * RATE), round(gate_s * RATE)
    index = np.arange(-before, after) % impulse.size
    kept = pyfar.Signal(impulse[index], RATE)
    size = 2**20
    bins = np.fft.rfft(kept.time[0], size)
    f = np.fft.rfftfreq(size, 1 / RATE)
    bins = bins * np.exp(2j * np.pi * f * before / RATE)
    theirs = np.interp(hz, f, bins.real) + 1j * np.interp(hz, f, bins.imag)
    return hz, ours / theirs


def test_a_linear_unit_s_response_is_what_an_independent_library_finds() -> None:
    heard = answer(one_sweep(duration_s=2.0), Resonant())
    _, ratio = ours_over_theirs(heard, gate_s=0.2)
    np.testing.assert_allclose(20 * np.log10(np.abs(ratio)), 0, atol=0.02)
    np.testing.assert_allclose(np.degrees(np.angle(ratio)), 0, atol=0.15)


def test_so_is_a_distorting_one_s_with_its_gate_and_without_its_harmonics() -> None:
    # y = x + 0.1 x^2 + 0.05 x^3 at 4 V would be absurd; scaled, 0.025 and 0.003125 a volt.
    played = one_sweep(duration_s=2.0)
    heard = distorted(played, second=0.025, third=0.003125, response=wire)
    hz, ratio = ours_over_theirs(heard, gate_s=0.2)
    # Lower down the witness's plain gate leaves some of the harmonics in: up to 0.09 dB.
    np.testing.assert_allclose(20 * np.log10(np.abs(ratio[hz > 300])), 0, atol=0.02)
    ours = sweep_answer(
        heard,
        excitation=played,
        segment_index=0,
        orders=3,
        frequency_hz=np.array([1000.0]),
        noise=quiet_noise(heard, excitation=played),
    ).harmonics.fundamental[0] / (4 / np.sqrt(2))
    # 1 + 3/4 0.05: not 1.0, the cubic's share forgotten, nor 1.022, harmonics left in.
    assert abs(ours) == pytest.approx(1.0375, rel=1.2e-3)
