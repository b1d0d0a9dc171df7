"""What a chain adds of its own, and so what it can resolve: idle noise, hum, distortion."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.hum import rest_of
from dsp.calibration.sentence import minus
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics

_BAND_HZ = (20.0, 20_000.0)
_SHORTEST_S = 0.2  # four periods of 20 Hz
_MOST_NOISE_DBFS, _MOST_HUM_DBFS = -60.0, -66.0
_MOST_THD_PERCENT = 0.5
_SEEN = 3.0  # standard deviations
_BINS = 80.0  # of 1/T Hz that twenty multiples of mains fill under a smooth window


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleNoise:
    """What an input records while nothing plays, 20 Hz to 20 kHz.

    Attributes
    ----------
    noise, hum : Calibration
        dB re the rms of a full-scale sine (AES17): noise with hum; mains and multiples alone.
    noise_v, hum_v : float
        V rms at the jack.
    hum_is_bound : bool
        Whether no hum stands out of the noise, which then holds this much at most.
    density_v_per_rthz : float
        V/√Hz, of the noise that is left, taken as white.
    mains_hz : float
        Hz, 50 or 60, the louder one.
    """

    noise: Calibration
    hum: Calibration
    noise_v: float
    hum_v: float
    hum_is_bound: bool
    density_v_per_rthz: float
    mains_hz: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OwnDistortion:
    """What a chain distorts by itself, its output wired to its input.

    Attributes
    ----------
    thd : Curve
        %, all harmonics that were read re the fundamental, over its frequency; a bound where
        noise hides all of them.
    resolved : tuple of Curve
        dB re the fundamental, from the second harmonic on: the smallest harmonic of a unit that
        can be told from the chain's own, the chain's plus what noise may hide.
    worst : Calibration
        %, the largest of ``thd``.
    """

    thd: Curve
    resolved: tuple[Curve, ...]
    worst: Calibration


def idle_noise(
    quiet: Floats, *, sample_rate_hz: float, full_scale_v: float, link: str
) -> IdleNoise:
    """Measure what an input records while nothing plays.

    Parameters
    ----------
    quiet : (n,) array
        Full-scale units, 0.2 s or more.
    sample_rate_hz : float
        Hz.
    full_scale_v : float
        V peak at the jack for digital 1.0.
    link : str
        Its name.

    Returns
    -------
    IdleNoise

    Raises
    ------
    DspError
        Too short.
    """
    if quiet.size < _SHORTEST_S * sample_rate_hz:
        given, allowed = f"{quiet.size / sample_rate_hz:.3g} s", f"from {_SHORTEST_S:g} s"
        raise DspError("idle_noise", "too short", given=given, allowed=allowed)
    # Infinitely high: no tone hides anything.
    rest = rest_of(
        quiet - np.mean(quiet), sample_rate_hz=sample_rate_hz, tone_hz=math.inf, blind_hz=1.0
    )
    whole = rest.noise + rest.hum
    dead = Check(
        name="alive",
        passed=bool(np.any(quiet != quiet[0])),
        sentence=f"{link}: the same sample all along, nothing is recorded"
        if not np.any(quiet != quiet[0])
        else f"{link}: records something",
    )
    seconds = quiet.size / sample_rate_hz
    width = min(_BAND_HZ[1], sample_rate_hz / 2) - _BAND_HZ[0]
    # Power of noise over a band and a time: chi-squared with 2 B T degrees of freedom.
    scatter = 10 / math.log(10) / math.sqrt(width * seconds)
    # No line stands out: hum is at most what noise puts into the bins of all multiples.
    hidden = rest.hum == 0
    hum = rest.noise * min(1.0, _BINS / seconds / width) if hidden else rest.hum
    return IdleNoise(
        noise=_level(
            whole,
            words=f"{link}: noise",
            quantity=f"found.noise_dbfs.{link}",
            most_db=_MOST_NOISE_DBFS,
            scatter_db=scatter,
            alive=dead,
        ),
        hum=_level(
            hum,
            words=f"{link}: hum {'at most' if hidden else ''}".strip(),
            quantity=f"found.hum_dbfs.{link}",
            most_db=_MOST_HUM_DBFS,
            # A line is known by the noise in the few bins that it fills.
            scatter_db=10 / math.log(10) / math.sqrt(_BINS / 2),
            alive=dead,
        ),
        noise_v=full_scale_v * math.sqrt(whole),
        hum_v=full_scale_v * math.sqrt(hum),
        hum_is_bound=hidden,
        density_v_per_rthz=full_scale_v * math.sqrt(rest.noise / width),
        mains_hz=rest.mains_hz,
    )


def own_distortion(loop: Harmonics) -> OwnDistortion:
    """Read the distortion of a chain whose output is wired to its input.

    Parameters
    ----------
    loop : Harmonics
        Two orders or more, any unit.

    Returns
    -------
    OwnDistortion

    Raises
    ------
    DspError
        The fundamental alone.
    """
    if loop.amplitude.shape[0] < 2:
        raise DspError("own_distortion", "orders", given=1, allowed="2 and up")
    hz, first = loop.frequency_hz, np.abs(loop.fundamental)
    size, noise = np.abs(loop.amplitude[1:]), loop.noise[1:]
    read = np.isfinite(size) & (first > 0)
    # Noise adds its power to what is read of a harmonic: twice the variance of either part.
    power = np.where(read, np.maximum(size**2 - 2 * noise**2, 0.0), 0.0).sum(axis=0)
    variance = np.where(read, noise**2, 0.0).sum(axis=0)
    hidden: Bools = power < (_SEEN**2) * variance
    with np.errstate(divide="ignore", invalid="ignore"):
        thd = 100 * np.sqrt(np.where(hidden, power + _SEEN**2 * variance, power)) / first
        spread = 100 * np.sqrt(variance) / first
    usable = read.any(axis=0)
    if not usable.any():
        raise DspError("own_distortion", "no harmonic inside the band", given=f"{hz[0]:g} Hz up")
    valid = ValidRange(
        low_hz=float(hz[usable][0]), high_hz=float(hz[usable][-1]), high_reason="Nyquist"
    )
    thd = np.where(usable, thd, np.nan)
    at = int(np.nanargmax(thd))
    return OwnDistortion(
        thd=Curve(
            frequency_hz=hz,
            value=thd,
            unit="%",
            valid=valid,
            uncertainty=np.where(usable, 2 * spread, np.nan),
            is_bound=hidden & usable,
            how="output wired to input",
        ),
        resolved=tuple(
            _resolved(loop, order=order, valid=valid) for order in range(2, len(loop.amplitude) + 1)
        ),
        worst=Calibration(
            quantity="found.thd_percent",
            value=float(thd[at]),
            unit="%",
            budget=WrittenBudget(
                unit="%", lines=(_line("noise", standard=float(spread[at]), unit="%"),)
            ),
            checks=(
                Check(
                    name="distortion",
                    passed=bool(thd[at] <= _MOST_THD_PERCENT),
                    sentence=f"the chain's own harmonics {'at most ' if hidden[at] else ''}"
                    f"{thd[at]:.2g} % at {hz[at]:.4g} Hz, allowed {_MOST_THD_PERCENT:g} %",
                ),
            ),
        ),
    )


def _resolved(loop: Harmonics, *, order: int, valid: ValidRange) -> Curve:
    row = order - 1
    with np.errstate(divide="ignore", invalid="ignore"):
        least = np.abs(loop.amplitude[row]) + _SEEN * loop.noise[row]
        level = 20 * np.log10(least / np.abs(loop.fundamental))
    return Curve(
        frequency_hz=loop.frequency_hz,
        value=level,
        unit="dB",
        valid=valid,
        how=f"harmonic {order}: the chain's own and {_SEEN:g} standard deviations of noise",
    )


def _level(
    power: float, *, words: str, quantity: str, most_db: float, scatter_db: float, alive: Check
) -> Calibration:
    level_db = 10 * math.log10(max(2 * power, 1e-30))
    return Calibration(
        quantity=quantity,
        value=level_db,
        unit="dB",
        budget=WrittenBudget(unit="dB", lines=(_line("length", standard=scatter_db, unit="dB"),)),
        checks=(
            alive,
            Check(
                name="idle level",
                passed=level_db <= most_db,
                sentence=f"{words} {minus(f'{level_db:.1f}')} dB re a full-scale sine, "
                f"allowed {minus(f'{most_db:g}')} dB",
            ),
        ),
    )


def _line(source: str, *, standard: float, unit: str) -> BudgetLine:
    return BudgetLine(
        source=source, kind=Kind.OTHER, standard_uncertainty=standard, unit=unit, sensitivity=1.0
    )
