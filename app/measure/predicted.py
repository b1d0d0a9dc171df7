"""What an excitation will do before it is played: the figures that the cautions stand on."""

import math
from dataclasses import dataclass

import numpy as np

from app.measure.surroundings import far_over_heard
from app.procedure.schema import Geometry
from dsp.excitation.excitation import Excitation
from hardware.chain.snapshot import ChainSnapshot

_SENSITIVITY_V = 2.83


@dataclass(frozen=True, slots=True, kw_only=True)
class Predicted:
    """Of the loudest part of an excitation.

    Attributes
    ----------
    peak_v, rms_v : float
        V at the terminals.
    peak_dbfs : float
        dB re the converter's peak.
    nominal_w : float or None
        W into the chain's nominal impedance; None where it states none.
    spl_db : float or None
        dB SPL at the microphone; None where the unit's sensitivity is not known.
    """

    peak_v: float
    rms_v: float
    peak_dbfs: float
    nominal_w: float | None
    spl_db: float | None


def predicted(
    excitation: Excitation,
    chain: ChainSnapshot,
    *,
    geometry: Geometry,
    sensitivity_db: float | None = None,
) -> Predicted:
    """Predict volts, watts and sound pressure level.

    Parameters
    ----------
    excitation : Excitation
        V at the terminals.
    chain : ChainSnapshot
        Of its output: full scale, gain, nominal impedance.
    geometry : Geometry
        How far away the microphone stands.
    sensitivity_db : float or None
        dB re 20 µPa at 1 m for 2.83 V, of this unit or of one like it.
    """
    drive = chain.chain.output.drive
    peak_v = float(np.max(np.abs(excitation.samples)))
    rms_v = max(
        float(np.sqrt(np.mean(np.square(excitation.samples[one.start : one.stop]))))
        for one in excitation.segments
    )
    spl_db = None
    if sensitivity_db is not None:
        far = far_over_heard(geometry, ambient=chain.chain.ambient, distance_m=1.0)
        spl_db = sensitivity_db + 20 * math.log10(rms_v / (_SENSITIVITY_V * far))
    return Predicted(
        peak_v=peak_v,
        rms_v=rms_v,
        peak_dbfs=20 * math.log10(peak_v / (drive.full_scale_v * abs(drive.amplifier_gain))),
        nominal_w=None if drive.nominal_ohm is None else rms_v**2 / drive.nominal_ohm,
        spl_db=spl_db,
    )
