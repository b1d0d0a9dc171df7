"""The sensitivity of a microphone from couplings of a pistonphone or sound calibrator."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.acoustic.level import DB_PER_NEPER, REFERENCE_PA
from dsp.arrays import Floats
from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget, stated
from dsp.calibration.calibration import Calibration
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import Instrument
from dsp.calibration.microphone_checks import coupling_checks, result_checks
from dsp.calibration.microphone_limits import Expected, MicrophoneLimits
from dsp.calibration.reading import MicrophoneReading, read_coupling
from dsp.calibration.sound_level import SoundLevel, sound_level
from dsp.errors import DspError

QUANTITY = "input.pressure.sensitivity_v_per_pa"
# Of one coupling of a hand-held instrument, before any is known: a standard deviation that is
# itself good for a quarter, which counts like eight degrees of freedom (JCGM 100:2008, G.4.2).
PRIOR_SCATTER_DB, PRIOR_DEGREES = 0.05, 8.0
_DB_A_PERCENT = DB_PER_NEPER / 100


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneLink:
    """What lies between the microphone's capsule and the samples.

    Attributes
    ----------
    sample_rate_hz : float
        Hz.
    full_scale_v : float
        V peak at the jack for digital 1.0.
    full_scale_uncertainty_percent : float
        %, expanded, k = 2.
    preamplifier_gain : float
        V/V between microphone and jack.
    preamplifier_gain_uncertainty_percent : float
        %, expanded, k = 2.
    response_db : float
        dB, what the microphone gives at the instrument's frequency re its sensitivity at 1 kHz.
    response_uncertainty_db : float
        dB, expanded, k = 2.
    bits : int
        Of the converter.

    Raises
    ------
    DspError
        A scale that is not above 0.
    """

    sample_rate_hz: float
    full_scale_v: float
    full_scale_uncertainty_percent: float = 0.0
    preamplifier_gain: float = 1.0
    preamplifier_gain_uncertainty_percent: float = 0.0
    response_db: float = 0.0
    response_uncertainty_db: float = 0.0
    bits: int = 24

    def __post_init__(self) -> None:
        for name in ("sample_rate_hz", "full_scale_v", "preamplifier_gain", "bits"):
            given = getattr(self, name)
            if not 0 < given < math.inf:
                raise DspError("microphone link", f"{name} not positive", given=given)

    @property
    def volt(self) -> float:
        """V at the microphone for digital 1.0."""
        return self.full_scale_v / self.preamplifier_gain


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MicrophoneCalibration:
    """The result, and what it was read from.

    Attributes
    ----------
    calibration : Calibration
        V/Pa at 1 kHz; budget in dB.
    readings : tuple of MicrophoneReading
        One a coupling.
    sensitivities_v_per_pa : tuple of float
        V/Pa at 1 kHz, one a coupling.
    level_db : float
        dB re 20 µPa that the instrument gave in this air, corrections applied.
    corrections_db : dict of str to float
        dB by name: ``static pressure``, ``load volume``, ``temperature``, ``humidity``; those
        that apply.
    assumed_degrees : float
        Degrees of freedom of the couplings' scatter that have to be assumed even the next time.
    """

    calibration: Calibration
    readings: tuple[MicrophoneReading, ...]
    sensitivities_v_per_pa: tuple[float, ...]
    level_db: float
    corrections_db: dict[str, float]
    assumed_degrees: float

    @property
    def sensitivity_db(self) -> float:
        """DB re 1 V/Pa."""
        return 20 * math.log10(self.calibration.value)


def calibrate_microphone(
    couplings: Sequence[Floats],
    *,
    link: MicrophoneLink,
    instrument: Instrument,
    conditions: Conditions,
    expected: Expected,
    limits: MicrophoneLimits,
) -> MicrophoneCalibration:
    """Find the sensitivity of a microphone.

    Parameters
    ----------
    couplings : sequence of (n,) arrays
        Full-scale units, one recording each time that the instrument was put on; two seconds and
        more of the steady tone in each.
    link : MicrophoneLink
        Scale of the samples.
    instrument : Instrument
        What made the sound.
    conditions : Conditions
        In which air.
    expected : Expected
        What the result is compared with.
    limits : MicrophoneLimits
        Beyond which it is refused.

    Returns
    -------
    MicrophoneCalibration, accepted or refused with reasons.

    Raises
    ------
    DspError
        No coupling, or one that is too short, silent or not a number.
    """
    if not couplings:
        raise DspError("microphone calibration", "no coupling", allowed="one recording or more")
    readings = tuple(
        read_coupling(
            one,
            sample_rate_hz=link.sample_rate_hz,
            near_hz=instrument.frequency_hz,
            volt=link.volt,
            within_db=instrument.limits.settled_within_db,
            least_s=limits.least_settled_s,
        )
        for one in couplings
    )
    sound = sound_level(instrument, conditions=conditions)
    pressure_pa = REFERENCE_PA * 10 ** (sound.level_db / 20)
    response = 10 ** (link.response_db / 20)
    each = tuple(one.voltage_v / pressure_pa / response for one in readings)
    value = float(np.exp(np.mean(np.log(each))))
    checks = coupling_checks(readings, instrument=instrument, limits=limits)
    failed = {check.name for check in checks if not check.passed}
    if not failed & {"clipping", "signal"}:
        checks += result_checks(
            each,
            value_v_per_pa=value,
            instrument=instrument,
            expected=expected,
            limits=limits,
            still=not failed & {"settled", "drift"},
        )
    return MicrophoneCalibration(
        calibration=Calibration(
            quantity=QUANTITY,
            value=value,
            unit="V/Pa",
            budget=_budget(readings, each=each, link=link, sound=sound, expected=expected),
            checks=checks,
        ),
        readings=readings,
        sensitivities_v_per_pa=each,
        level_db=sound.level_db,
        corrections_db=sound.corrections_db,
        assumed_degrees=max(0.0, _assumed_degrees(expected) - (len(each) - 1)),
    )


def _budget(
    readings: Sequence[MicrophoneReading],
    *,
    each: Sequence[float],
    link: MicrophoneLink,
    sound: SoundLevel,
    expected: Expected,
) -> WrittenBudget:
    lines = [
        *sound.lines,
        _repeatability(each, expected=expected),
        stated(
            "input voltage scale",
            standard=link.full_scale_uncertainty_percent / 2,
            unit="%",
            sensitivity=_DB_A_PERCENT,
            of_chain=True,
        ),
        stated(
            "preamplifier gain",
            standard=link.preamplifier_gain_uncertainty_percent / 2,
            unit="%",
            sensitivity=-_DB_A_PERCENT,
            of_chain=True,
        ),
        stated(
            "frequency response",
            standard=link.response_uncertainty_db / 2,
            unit="dB",
            sensitivity=-1.0,
        ),
        stated("resolution", standard=_resolution_db(readings, link=link), unit="dB"),
        stated("settling", standard=max(_settling_db(one) for one in readings), unit="dB"),
        stated("hum", standard=max(one.hum_under_tone_db for one in readings), unit="dB"),
    ]
    if len(readings) == 1:
        # With more, the scatter of the couplings has the noise in it already.
        lines.append(stated("noise", standard=readings[0].noise_db, unit="dB"))
    return WrittenBudget(unit="dB", lines=tuple(lines))


def _repeatability(each: Sequence[float], *, expected: Expected) -> BudgetLine:
    # Scatter of a mean. What today's couplings show is pooled with those of earlier days, and with
    # what is assumed of any hand as long as those are fewer than it stands for (JCGM 100:2008,
    # 4.2.4): two couplings alone, one degree of freedom, would make any interval useless.
    count = len(each)
    squares, degrees = 0.0, float(count - 1)
    if count > 1:
        squares = float(np.var(20 * np.log10(each), ddof=1)) * degrees
    earlier = 0.0
    if expected.coupling_scatter_db is not None:
        earlier = expected.coupling_degrees
        squares += expected.coupling_scatter_db**2 * earlier
    assumed = _assumed_degrees(expected)
    squares += PRIOR_SCATTER_DB**2 * assumed
    degrees += earlier + assumed
    return BudgetLine(
        source="repeatability",
        kind=Kind.REPEATED if count > 1 or earlier else Kind.OTHER,
        standard_uncertainty=math.sqrt(squares / degrees / count),
        unit="dB",
        sensitivity=1.0,
        degrees=degrees,
    )


def _assumed_degrees(expected: Expected) -> float:
    earlier = 0.0 if expected.coupling_scatter_db is None else expected.coupling_degrees
    return max(0.0, PRIOR_DEGREES - earlier)


def _resolution_db(readings: Sequence[MicrophoneReading], *, link: MicrophoneLink) -> float:
    # Half a step of the converter to either side of the peak: the most that steps can do.
    half_step_v = link.volt * 2.0**-link.bits
    lowest_peak_v = math.sqrt(2) * min(one.voltage_v for one in readings)
    return DB_PER_NEPER * half_step_v / lowest_peak_v / math.sqrt(3)


def _settling_db(one: MicrophoneReading) -> float:
    # What the level still does over the settled part: how far it moves to either side is taken for
    # the half-width of a rectangle, and what comes and goes for as wrong as it is at any moment.
    moved = abs(one.slope_db_per_s) * one.settled_for_s / 2 if one.drifts else 0.0
    return math.hypot(moved / math.sqrt(3), one.fluctuation_db / math.sqrt(2))
