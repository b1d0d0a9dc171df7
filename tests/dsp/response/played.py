"""What a recorder would hold of an excitation: closed-form units, clocks, noise.

Exact up to rounding: the excitation's spectrum over a long padded record times the analytic
response; other clocks by summing the record's band-limited interpolation 16 times finer.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from dsp import Complexes, Floats
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.log_sweep import log_sweep

Response = Callable[[Floats], Complexes]
RATE = 48_000.0


def wire(f: Floats) -> Complexes:
    return np.ones(f.size, dtype=np.complex128)


@dataclass(frozen=True, kw_only=True)
class Resonant:
    """A closed-box unit of second order that rolls off at 9 kHz, heard after a delay."""

    q: float = 0.7
    hz: float = 75.0
    delay_s: float = 0.00301

    def __call__(self, f: Floats) -> Complexes:
        s = 1j * f / self.hz
        low = s**2 / (1 + s / self.q + s**2) / (1 + 1j * f / 9000)
        return np.asarray(low * np.exp(-2j * np.pi * f * self.delay_s))


@dataclass(frozen=True, kw_only=True)
class CurrentThrough:
    """A/V through a unit and a sense resistor in series (Small 1972, plain inductance)."""

    q: float = 4.0
    hz: float = 75.0
    series_ohm: float = 0.22

    def impedance(self, f: Floats) -> Complexes:
        f = np.maximum(f, 1e-9)
        motional = 6.6 * self.q / 0.9 / (1 + 1j * self.q * (f / self.hz - self.hz / f))
        return np.asarray(6.6 + 2j * np.pi * f * 0.3e-3 + motional)

    def __call__(self, f: Floats) -> Complexes:
        return np.asarray(1 / (self.impedance(f) + self.series_ohm))


def one_sweep(
    *,
    rate: float = RATE,
    duration_s: float = 1.0,
    start_hz: float = 10.0,
    stop_hz: float = 20_000.0,
    peak_v: float = 4.0,
) -> Excitation:
    sweep = log_sweep(
        sample_rate_hz=rate,
        start_hz=start_hz,
        stop_hz=stop_hz,
        duration_s=duration_s,
        peak_v=peak_v,
    )
    return assemble([sweep], sample_rate_hz=rate)


def answer(excitation: Excitation, response: Response) -> Floats:
    """The channel on the excitation's own clock, as long as the excitation."""
    n, rate = excitation.samples.size, excitation.sample_rate_hz
    size = 2 ** int(np.ceil(np.log2(n + 2 * rate)))
    f: Floats = np.fft.rfftfreq(size, 1 / rate).astype(np.float64)
    spectrum = np.fft.rfft(excitation.samples, size) * response(f)
    return np.asarray(np.fft.irfft(spectrum, size)[:n])


def distorted(excitation: Excitation, *, second: float, third: float, response: Response) -> Floats:
    """y = x + second x^2 + third x^3 without aliasing, then a linear response."""
    n, rate = excitation.samples.size, excitation.sample_rate_hz
    size = 2 ** int(np.ceil(np.log2(n + 2 * rate)))
    fine = np.fft.irfft(np.fft.rfft(excitation.samples, size), 4 * size) * 4
    spectrum = np.fft.rfft(fine + second * fine**2 + third * fine**3)[: size // 2 + 1] / 4
    f: Floats = np.fft.rfftfreq(size, 1 / rate).astype(np.float64)
    spectrum[f > 0.497 * rate] = 0.0  # what a converter's filter takes away
    return np.asarray(np.fft.irfft(spectrum * response(f), size)[:n])


def recorded(
    excitation: Excitation,
    response: Response,
    *,
    before_s: float = 0.3,
    after_s: float = 0.2,
    offset_ppm: float = 0.0,
) -> Floats:
    """A raw recording that begins ``before_s`` before the excitation, by a clock of its own.

    Sample 0 of the excitation lies at ``before_s * rate * (1 + offset)`` in it.
    """
    rate, n = excitation.sample_rate_hz, excitation.samples.size
    ratio = 1 + 1e-6 * offset_ppm
    lead = round(rate)
    size = 2 ** int(np.ceil(np.log2(n + 3 * rate)))
    f: Floats = np.fft.rfftfreq(size, 1 / rate).astype(np.float64)
    played = np.concatenate([np.zeros(lead), excitation.samples])
    spectrum = np.fft.rfft(played, size) * response(f)
    count = int((n + (before_s + after_s) * rate) * ratio)
    finer = 16
    fine = np.fft.irfft(spectrum, finer * size) * finer
    place = finer * (lead - before_s * rate + np.arange(count) / ratio)
    below = np.floor(place).astype(np.int64)
    part = place - below
    # Four points, third degree: within 1e-5 up to 20 kHz.
    a, b, c, d = (fine[below + k] for k in (-1, 0, 1, 2))
    left, right = part * (part - 1) / 2, (part + 1) * (part - 2) / 2
    out: Floats = left * (part - 2) * -a / 3 + right * (part - 1) * b
    out += -right * part * c + left * (part + 1) * d / 3
    return out


def with_noise(
    channel: Floats, excitation: Excitation, *, snr_db: float, seed: int, pink: bool = False
) -> Floats:
    """Add noise; the ratio is rms over the segments to rms of the noise."""
    rng = np.random.default_rng(seed)
    noise = rng.standard_normal(channel.size)
    if pink:
        spectrum = np.fft.rfft(noise)
        f = np.fft.rfftfreq(channel.size, 1 / excitation.sample_rate_hz)
        noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(f, 5.0)), channel.size)
    first, last = excitation.segments[0].start, excitation.segments[-1].stop
    signal = np.sqrt(np.mean(channel[first:last] ** 2))
    scale = signal * 10 ** (-snr_db / 20) / np.sqrt(np.mean(noise**2))
    return np.asarray(channel + scale * noise)
