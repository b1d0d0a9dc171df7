"""The delay from output to pressure, and the phase that is left once a delay is taken out."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.acoustic.level import ratio_noise
from dsp.acoustic.minimum_phase import minimum_phase
from dsp.arrays import Complexes, Floats, Ints
from dsp.curve import Curve, ValidRange
from dsp.number import Number
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

_FIT_HZ = (300.0, 8000.0)  # clear of the resonance, and of what the band's upper end leaves open
_MOST_POINTS = 160  # finer grids say the same about a delay
_FEWEST_POINTS = 8
_EARLIEST_S = -0.01
_BELOW = 2.0  # d ln|H| / d ln f of a closed unit below its resonance
_BEYOND, _BEYOND_SPREAD = -1.0, 2.0  # the same above the band: -3 to +1, nobody can tell
_CORRELATED = 8.0  # points of a third of an octave: what the fit misses is not independent


@dataclass(frozen=True, slots=True, kw_only=True)
class ExcessDelay:
    """The delay by which a response exceeds the least phase that its magnitude needs.

    Attributes
    ----------
    delay : Number
        s.
    sign : int
        +1 or -1: whether the rest is in phase with the drive or opposed to it.
    coherence : float
        0 to 1; how well delay and sign alone explain the excess phase.
    """

    delay: Number
    sign: int
    coherence: float


def excess_delay(
    transfer: Complexes, *, frequency_hz: Floats, longest_s: float = 0.25
) -> ExcessDelay:
    """Find the delay of a response whose rest is as good as minimum phase.

    The minimum phase follows from the magnitude. What lies above the band adds a delay of its
    own to it, slope / (pi^2 f_top): the magnitude is taken to go on at -6 dB an octave, and the
    uncertainty covers everything from +6 to -18. That is half a sample at 48 kHz; no blind
    estimate does better. What a unit has of its own beyond minimum phase counts as delay.

    Parameters
    ----------
    transfer : (m,) complex array
        Pressure over voltage, where it stands above the noise, microphone corrected; NaN and 0
        are skipped.
    frequency_hz : (m,) array
        Hz, strictly rising, evenly or not; linear or logarithmic.
    longest_s : float
        s, longest delay that is looked for; the shortest is -10 ms.

    Returns
    -------
    ExcessDelay; its number has a reason and no value where the band is too narrow.
    """
    usable = np.isfinite(transfer) & (transfer != 0)
    points = _thin(frequency_hz[usable])
    hz, response = frequency_hz[usable][points], transfer[usable][points]
    inside = (hz >= _FIT_HZ[0]) & (hz <= _FIT_HZ[1])
    if np.count_nonzero(inside) < _FEWEST_POINTS:
        inside = np.ones(hz.size, dtype=np.bool_)
    if hz.size < _FEWEST_POINTS or hz[inside][-1] < 2 * hz[inside][0]:
        missing = Number(
            value=math.nan, unit="s", how="excess phase", reason="the band is too narrow"
        )
        return ExcessDelay(delay=missing, sign=1, coherence=0.0)
    least = minimum_phase(
        np.log(np.abs(response)),
        frequency_hz=hz,
        at_hz=hz[inside],
        low_slope=_BELOW,
        high_slope=_BEYOND,
    )
    excess = np.exp(1j * (np.angle(response[inside]) - least))
    omega = 2 * np.pi * hz[inside]
    coarse = _best_on_grid(excess, omega=omega, longest_s=longest_s)
    line = _straighten(excess * np.exp(1j * omega * coarse), omega=omega)
    beyond = _BEYOND_SPREAD / math.sqrt(3) / (math.pi**2 * float(hz[-1]))
    return ExcessDelay(
        delay=Number(
            value=coarse + line.delay_s,
            unit="s",
            uncertainty=2 * math.hypot(beyond, line.uncertainty_s),
            how=f"excess phase, {hz[inside][0]:.4g} Hz to {hz[inside][-1]:.4g} Hz",
        ),
        sign=line.sign,
        coherence=line.coherence,
    )


def level_phase(
    pressure: Harmonics,
    *,
    voltage: Harmonics,
    delay_s: float,
    valid: ValidRange,
    chain_deg: Floats | float = 0.0,
    alignment_s: float = 0.0,
) -> Curve:
    """Show the phase of pressure against voltage with a stated delay taken out.

    ``value - 360 f delay_s`` is the whole phase, whatever delay was chosen.

    Parameters
    ----------
    pressure, voltage : Harmonics
        Pa, microphone corrected; V across the unit, at the same frequencies.
    delay_s : float
        s; stated, and therefore exact.
    valid : ValidRange
        Where it may be believed.
    chain_deg : (m,) array or float
        deg, standard uncertainty from the links.
    alignment_s : float
        s, standard uncertainty of the time between output and inputs.

    Returns
    -------
    Curve in deg, continuous over frequency, by whole turns so that its median lies within 180 of
    0; uncertainty expanded, k = 2.
    """
    check_same_points("level_phase", first=pressure, second=voltage)
    hz = pressure.frequency_hz
    with np.errstate(divide="ignore", invalid="ignore"):
        turned = pressure.fundamental / voltage.fundamental * np.exp(2j * np.pi * hz * delay_s)
    value = np.degrees(np.angle(turned))
    known = np.isfinite(value)
    if known.any():
        smooth = np.unwrap(value[known], period=360)
        value[known] = smooth - 360 * np.round(np.median(smooth) / 360)
    noise = np.degrees(ratio_noise(pressure, voltage=voltage))
    common = np.hypot(chain_deg, 360 * hz * alignment_s)
    return Curve(
        frequency_hz=hz,
        value=value,
        unit="deg",
        valid=valid,
        uncertainty=2 * np.hypot(noise, common),
        how=f"against the voltage across the terminals, {delay_s * 1000:.4f} ms taken out",
    )


@dataclass(frozen=True, slots=True)
class _Line:
    delay_s: float
    uncertainty_s: float
    sign: int
    coherence: float


def _thin(frequency_hz: Floats) -> Ints:
    # Evenly spread in log f: a linear grid would crowd the top and starve the resonance.
    if frequency_hz.size <= _MOST_POINTS:
        return np.arange(frequency_hz.size)
    places = np.geomspace(frequency_hz[0], frequency_hz[-1], _MOST_POINTS)
    nearest = np.searchsorted(frequency_hz, places * (1 - 1e-12))
    return np.unique(np.minimum(nearest, frequency_hz.size - 1))


def _best_on_grid(excess: Complexes, *, omega: Floats, longest_s: float) -> float:
    # Delay at which all phasors point the same way, up or down. e^(j w (a + b)) splits into two
    # factors, so that tens of thousands of delays cost one small matrix product.
    step = 2 * math.pi / (8 * float(omega[-1]))
    side = math.ceil(math.sqrt((longest_s - _EARLIEST_S) / step))
    far = np.exp(1j * _EARLIEST_S * omega) * _powers(np.exp(1j * step * side * omega), count=side)
    near = _powers(np.exp(1j * step * omega), count=side).T
    # Even in log f: each octave has its say, and no point that is close to its neighbours two.
    towards = np.abs(((far * excess * np.gradient(np.log(omega))) @ near).real)
    return _EARLIEST_S + step * int(np.argmax(towards))


def _powers(base: Complexes, *, count: int) -> Complexes:
    # (count, m), from the power 0 on.
    rows = np.broadcast_to(base, (count, base.size)).copy()
    rows[0] = 1.0
    out: Complexes = np.multiply.accumulate(rows, axis=0)
    return out


def _straighten(phasors: Complexes, *, omega: Floats) -> _Line:
    # What is left is a short delay and a sign: a line through 0 or 180 degrees, by reweighting.
    towards = np.sum(phasors * np.gradient(np.log(omega))).real
    sign = 1 if towards >= 0 else -1
    angle = np.angle(sign * phasors)
    delay, weight = 0.0, np.ones(omega.size)
    for _ in range(5):
        delay = -float(np.sum(weight * omega * angle) / np.sum(weight * omega**2))
        missed = np.abs(angle + omega * delay)
        weight = 1 / np.maximum(1, missed / (2 * np.median(missed) + 1e-9))
    left = angle + omega * delay
    spread = math.sqrt(_CORRELATED * float(np.mean(left**2)) / float(np.sum(omega**2)))
    return _Line(delay, spread, sign, float(np.mean(np.cos(left)).clip(0, 1)))
