"""The sensitivity of a microphone from couplings of a pistonphone or sound calibrator."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from dsp.arrays import Floats
from dsp.calibration.calibration import Calibration
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import Instrument
from dsp.calibration.reading import MicrophoneReading

QUANTITY = "input.pressure.sensitivity_v_per_pa"


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
    """

    sample_rate_hz: float
    full_scale_v: float
    full_scale_uncertainty_percent: float = 0.0
    preamplifier_gain: float = 1.0
    preamplifier_gain_uncertainty_percent: float = 0.0
    response_db: float = 0.0
    response_uncertainty_db: float = 0.0
    bits: int = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is known of the microphone from elsewhere.

    Attributes
    ----------
    before_v_per_pa : float or None
        V/Pa, from the last accepted calibration, or as the chain states it.
    certificate_v_per_pa : float or None
        V/Pa, from the microphone's own certificate.
    coupling_scatter_db : float or None
        dB, standard deviation of single couplings in earlier calibrations.
    coupling_degrees : float
        Degrees of freedom of ``coupling_scatter_db``.
    """

    before_v_per_pa: float | None = None
    certificate_v_per_pa: float | None = None
    coupling_scatter_db: float | None = None
    coupling_degrees: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneLimits:
    """Beyond which a calibration is refused.

    Attributes
    ----------
    least_settled_s : float
        s, shortest part with a steady level.
    drift_db_per_s : float
        dB/s, over the settled part.
    hum_db : float
        dB re the tone.
    least_snr_db : float
        dB, tone over noise.
    spread_db : float
        dB, between the highest and the lowest coupling.
    level_db : float
        dB from what is expected; beyond, another level was played than the one named.
    history_db : float
        dB from the last calibration.
    certificate_db : float
        dB from the microphone's certificate.
    """

    least_settled_s: float = 2.0
    drift_db_per_s: float = 0.01
    hum_db: float = -40.0
    least_snr_db: float = 15.0
    spread_db: float = 0.1
    level_db: float = 3.0
    history_db: float = 0.5
    certificate_db: float = 1.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MicrophoneCalibration:
    """The result, and what it was read from.

    Attributes
    ----------
    calibration : Calibration
        V/Pa at 1 kHz; budget in dB.
    readings : tuple of MicrophoneReading
        One a coupling.
    level_db : float
        dB re 20 µPa that the instrument gave in this air, corrections applied.
    corrections_db : dict of str to float
        dB by name: ``static pressure``, ``load volume``, ``temperature``, ``humidity``; those
        that apply.
    """

    calibration: Calibration
    readings: tuple[MicrophoneReading, ...]
    level_db: float
    corrections_db: dict[str, float]


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
    raise NotImplementedError
