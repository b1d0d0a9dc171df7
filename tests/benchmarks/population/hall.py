"""The factory about the station: steady noise, and now and then something that falls."""

from dataclasses import dataclass

import numpy as np
import scipy.fft

from dsp import Floats
from hardware.virtual.noise import noise_spectrum
from tests.benchmarks.population.station import RATE_HZ

_STREAM = 7
# A clank: lognormal peak, a few partials that ring together.
_CLANK_PA, _CLANK_SPREAD = 0.05, 0.7
_RING_S = (0.002, 0.015)
_PARTIALS_HZ = (600.0, 6000.0)
# The second microphone hangs in the hall: nearer to what falls, far from the unit.
_SOONER_S = (0.003, 0.012)
_LOUDER = 2.0
_UNIT_HEARD = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class Hall:
    """How loud it is.

    Attributes
    ----------
    noise_db_spl : float
        dB SPL, pink, 20 Hz to half the sample rate, at either microphone.
    clanks_per_s : float
        1/s, on average, at random moments.
    second_microphone : bool
        Whether one hangs in the hall.
    """

    noise_db_spl: float
    clanks_per_s: float = 0.0
    second_microphone: bool = False

    @property
    def called(self) -> str:
        """As a table's head."""
        clanks = ", clanks" if self.clanks_per_s else ""
        second = ", 2nd microphone" if self.second_microphone else ""
        return f"{self.noise_db_spl:.0f} dB{clanks}{second}"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Surroundings:
    """What the hall adds to one take, (n,) Pa at each microphone; in the hall where one hangs."""

    at_unit_pa: Floats
    in_hall_pa: Floats | None


def surroundings(hall: Hall, *, samples: int, seed: int) -> Surroundings:
    """Draw the noise of one take; clanks are heard in the hall first, and louder."""
    rng = np.random.default_rng([seed, _STREAM, round(hall.noise_db_spl)])
    length = scipy.fft.next_fast_len(samples, real=True)

    def steady() -> Floats:
        spectrum = noise_spectrum(
            hall.noise_db_spl, samples=length, sample_rate_hz=RATE_HZ, pink=True, rng=rng
        )
        return np.asarray(scipy.fft.irfft(spectrum, length)[:samples])

    at_unit, in_hall = steady(), steady() if hall.second_microphone else None
    for _ in range(rng.poisson(hall.clanks_per_s * samples / RATE_HZ)):
        clank, at = _clank(rng), int(rng.integers(samples))
        sooner = round(rng.uniform(*_SOONER_S) * RATE_HZ)
        _add(at_unit, clank, at=at)
        if in_hall is not None:
            _add(in_hall, _LOUDER * clank, at=at - sooner)
    return Surroundings(at_unit_pa=at_unit, in_hall_pa=in_hall)


def unit_in_hall(pressure_pa: Floats) -> Floats:
    """Return what the second microphone hears of the unit, Pa."""
    return _UNIT_HEARD * pressure_pa


def _clank(rng: np.random.Generator) -> Floats:
    decay_s = float(np.exp(rng.uniform(*np.log(_RING_S))))
    t = np.arange(round(8 * decay_s * RATE_HZ)) / RATE_HZ
    low, high = np.log(_PARTIALS_HZ)
    hz = np.exp(rng.uniform(low, high, size=3))[:, np.newaxis]
    phase = rng.uniform(0, 2 * np.pi, size=(3, 1))
    shape = np.sum(np.sin(2 * np.pi * hz * t + phase), axis=0) * np.exp(-t / decay_s)
    peak_pa = _CLANK_PA * float(np.exp(_CLANK_SPREAD * rng.standard_normal()))
    return np.asarray(shape * (peak_pa / np.max(np.abs(shape))))


def _add(sound: Floats, one: Floats, *, at: int) -> None:
    first, stop = max(at, 0), min(at + one.size, sound.size)
    if first < stop:
        sound[first:stop] += one[first - at : stop - at]
