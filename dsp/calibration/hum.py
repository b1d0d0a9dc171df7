"""What is in a recording besides the tone: mains and its multiples, and noise."""

import math
from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Floats

_MAINS_HZ = (50.0, 60.0)
_MULTIPLES = 20
_DEVIATION = 2e-3  # of mains from its nominal frequency
_LOBE = 2.0  # bins to either side that a Hann window spreads a line over
_FLOOR = 12  # bins to either side of a line, where the noise under it is read
_STANDS_OUT = 6.0  # times what noise alone would give
_LOWEST_HZ, _HIGHEST_HZ = 20.0, 20_000.0
_MEDIAN_OF_POWER = math.log(2)  # median of an exponential distribution over its mean


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """Powers of what is not the tone, in the square of the recording's unit.

    Attributes
    ----------
    hum : float
        Of mains and its multiples up to the twentieth, those included that the tone or its
        harmonics hide: taken for as strong as the stronger neighbour.
    hidden : float
        Of the one that the tone hides, by the same rule; 0 where there is none.
    mains_hz : float
        Hz, 50 or 60, the louder one.
    noise : float
        Of the rest between 20 Hz and 20 kHz.
    density : float
        Per Hz, of the noise around the tone.
    """

    hum: float
    hidden: float
    mains_hz: float
    noise: float
    density: float


def rest_of(residual: Floats, *, sample_rate_hz: float, tone_hz: float, blind_hz: float) -> Rest:
    """Part what a fit left into hum and noise.

    Parameters
    ----------
    residual : (n,) array
        Any unit; the tone and its harmonics taken out.
    sample_rate_hz : float
        Hz.
    tone_hz : float
        Hz.
    blind_hz : float
        Hz to either side of the tone and of each harmonic in which nothing is left to be seen.

    Returns
    -------
    Rest
    """
    window = np.hanning(residual.size)
    power = np.abs(fft.rfft(residual * window)) ** 2
    power *= 2 / (residual.size * float(np.sum(window**2)))  # adds up to the mean square
    hz = fft.rfftfreq(residual.size, 1 / sample_rate_hz)
    found = [
        _Mains(mains, power=power, hz=hz, tone_hz=tone_hz, blind_hz=blind_hz) for mains in _MAINS_HZ
    ]
    mains = max(found, key=lambda one: one.total)
    inside = (hz >= _LOWEST_HZ) & (hz <= _HIGHEST_HZ)
    whole = float(np.sum(power[inside]))
    away = np.abs(hz - tone_hz)
    around = (away > blind_hz) & (away < 5 * blind_hz)
    return Rest(
        hum=mains.total,
        hidden=mains.under_tone,
        mains_hz=mains.base_hz,
        noise=max(whole - mains.seen, 0.0),
        density=_floor(power[around]) / float(hz[1]),
    )


class _Mains:
    """Multiples of one mains frequency: those that can be seen, and those that cannot."""

    def __init__(
        self, base_hz: float, *, power: Floats, hz: Floats, tone_hz: float, blind_hz: float
    ) -> None:
        self.base_hz = base_hz
        multiples = base_hz * np.arange(1, _MULTIPLES + 1)
        multiples = multiples[multiples < hz[-1] - 50]
        order = np.maximum(np.round(multiples / tone_hz), 1.0)
        hidden = np.abs(multiples - order * tone_hz) <= blind_hz
        lines = np.array(
            [
                0.0 if blind else _line(at, power=power, bin_hz=float(hz[1]))
                for at, blind in zip(multiples, hidden, strict=True)
            ]
        )
        self.seen = float(np.sum(lines))
        # A line in the dark is taken for as strong as the stronger one beside it.
        beside = np.maximum(np.append(0.0, lines[:-1]), np.append(lines[1:], 0.0))
        guessed = np.where(hidden, beside, lines)
        self.total = float(np.sum(guessed))
        # What lies farther from the tone than this beats, and averages out.
        coherent = np.abs(multiples - tone_hz) <= _DEVIATION * tone_hz + 2 * float(hz[1])
        self.under_tone = float(np.max(guessed[coherent & hidden], initial=0.0))


def _line(at_hz: float, *, power: Floats, bin_hz: float) -> float:
    # Power of a line above the noise that lies under it; 0 where it does not stand out.
    half = _DEVIATION * at_hz / bin_hz + _LOBE
    first, last = math.ceil(at_hz / bin_hz - half), math.floor(at_hz / bin_hz + half)
    beside = np.append(power[max(first - _FLOOR, 0) : first], power[last + 1 : last + 1 + _FLOOR])
    under = _floor(beside) * (last + 1 - first)
    found = float(np.sum(power[first : last + 1]))
    return found - under if found > _STANDS_OUT * under else 0.0


def _floor(power: Floats) -> float:
    return float(np.median(power)) / _MEDIAN_OF_POWER if power.size else 0.0
