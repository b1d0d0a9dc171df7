"""What a procedure will do on a chain, and what to beware of, before anything is heard."""

import math
from dataclasses import dataclass
from enum import Enum

from app.measure.areas import geometry_of
from app.measure.excite import excite
from app.measure.predicted import predicted
from app.procedure.loaded import LoadedProcedure
from app.records.store import Store
from dsp import Curve
from dsp.excitation.spectrum import drive_spectrum
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot

EAR_M = 0.5  # a person at the bench
# Drive units give 80 to 95 dB; until this one was measured, rather too loud than too quiet.
ASSUMED_DB = 92.0
_SENSITIVITY_V = 2.83
_REFERENCE_PA = 20e-6
# From here on hearing must be offered protection, and from there on protected, averaged over a
# working day (Directive 2003/10/EC, article 3: lower and upper exposure action values).
_OFFER_DB, PROTECT_DB = 80.0, 85.0
# At this level the day's dose of 85 dB over 8 h is taken in less than 8 min (3 dB halve the time).
_LEAVE_DB = 103.0
_NEAR_DB = 1.0  # of the voltage that the chain allows
_MICROPHONE_ROOM_DB = 3.0
_WARM_PART, _WARM_S = 0.5, 10.0  # of the power at the voltage that the chain allows


class Hazard(Enum):
    """What a caution is about."""

    HEARING = "hearing"
    DRIVER = "driver"
    MICROPHONE = "microphone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing to beware of: a sentence that says what to do."""

    hazard: Hazard
    sentence: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WillDo:
    """Figures of the loudest part.

    Attributes
    ----------
    duration_s : float
        s, silence and marks included.
    peak_v, most_peak_v : float
        V at the terminals, and what the chain allows there.
    rms_v : float
        V.
    power_w, most_power_w : float or None
        W into the nominal impedance, and that of the voltage which the chain allows; None where
        the chain states no nominal impedance.
    microphone_db, microphone_most_db : float or None
        dB SPL there, and where its input ends; None without a microphone.
    ear_db : float
        dB SPL at ``EAR_M`` from the unit.
    is_assumed : bool
        Whether the sound levels stand on ``ASSUMED_DB``, since no take tells the sensitivity.
    cautions : tuple of Caution
        The gravest first.
    spectrum : Curve
        dB re 1 V rms in third octaves.
    """

    duration_s: float
    peak_v: float
    most_peak_v: float
    rms_v: float
    power_w: float | None
    most_power_w: float | None
    microphone_db: float | None
    microphone_most_db: float | None
    ear_db: float
    is_assumed: bool
    cautions: tuple[Caution, ...]
    spectrum: Curve


def will_do(
    loaded: LoadedProcedure, chain: ChainSnapshot, *, sensitivity_db: float | None = None
) -> WillDo:
    """Predict what playing a procedure will do.

    Parameters
    ----------
    loaded : LoadedProcedure
        What is to be played.
    chain : ChainSnapshot
        On what.
    sensitivity_db : float or None
        dB re 20 µPa at 1 m for 2.83 V; from ``known_sensitivity``.

    Returns
    -------
    WillDo

    Raises
    ------
    BadInputError
        This chain cannot or must not play it; names the key.
    """
    excitation = excite(loaded, chain)
    drive, geometry = chain.chain.output.drive, geometry_of(loaded.procedure)
    believed = ASSUMED_DB if sensitivity_db is None else sensitivity_db
    told = predicted(excitation, chain, geometry=geometry, sensitivity_db=believed)
    ear_db = at_ear_db(told.rms_v, sensitivity_db=believed)
    most_v = math.sqrt(2) * drive.max_terminal_v_rms
    most_w = None if drive.nominal_ohm is None else drive.max_terminal_v_rms**2 / drive.nominal_ohm
    microphone_db = told.spl_db if chain.chain.input.pressure else None
    microphone_most_db = overload_db(chain.chain)
    cautions = [
        *_hearing(ear_db),
        *_driver(told.peak_v, most_v=most_v),
        *_coil(told.nominal_w, most_w=most_w, duration_s=excitation.duration_s),
        *_microphone(microphone_db, most_db=microphone_most_db),
    ]
    return WillDo(
        duration_s=excitation.duration_s,
        peak_v=told.peak_v,
        most_peak_v=most_v,
        rms_v=told.rms_v,
        power_w=told.nominal_w,
        most_power_w=most_w,
        microphone_db=microphone_db,
        microphone_most_db=microphone_most_db,
        ear_db=ear_db,
        is_assumed=sensitivity_db is None,
        cautions=tuple(cautions),
        spectrum=drive_spectrum(excitation),
    )


def at_ear_db(v_rms: float, *, sensitivity_db: float = ASSUMED_DB) -> float:
    """Return the level at ``EAR_M`` from a unit, dB SPL, for V rms at its terminals.

    ``sensitivity_db`` is in dB re 20 µPa at 1 m for 2.83 V.
    """
    return sensitivity_db + 20 * math.log10(v_rms / (_SENSITIVITY_V * EAR_M))


def overload_db(chain: Chain) -> float | None:
    """Return the level of a sine that just fills the pressure input, dB SPL; None without one."""
    mic = chain.input.pressure
    if mic is None:
        return None
    pascal = mic.full_scale_v / (mic.preamplifier_gain * mic.sensitivity_v_per_pa) / math.sqrt(2)
    return 20 * math.log10(pascal / _REFERENCE_PA)


def known_sensitivity(store: Store, *, unit: str | None, lot: str | None) -> float | None:
    """Look up what the unit on the bench, or one of its lot, gave for 2.83 V.

    Parameters
    ----------
    store : Store
        Its newest take counts; one of another lot tells nothing.
    unit, lot : str or None
        What lies on the bench.

    Returns
    -------
    float or None, dB re 20 µPa at 1 m.
    """
    found = store.find(serial=unit, limit=1) if unit else ()
    if not found and lot:
        found = store.find(lot=lot, limit=1)
    if not found:
        return None
    take = store.take(found[0].id)
    number = take.numbers.get("sensitivity_db")
    if number is None or not math.isfinite(number.value):
        return None
    nominal = take.chain.chain.output.drive.nominal_ohm
    if take.procedure.quantities.sensitivity.reference == "1W" and nominal:
        return number.value + 20 * math.log10(_SENSITIVITY_V / math.sqrt(nominal))
    return number.value


def _hearing(ear_db: float) -> list[Caution]:
    if ear_db < _OFFER_DB:
        return []
    if ear_db < PROTECT_DB:
        said = "Over 80 dB: over a whole day at it, wear hearing protection."
    elif ear_db < _LEAVE_DB:
        said = "Over 85 dB: wear hearing protection if you stay in the room."
    else:
        said = "Over 103 dB: leave the room, or wear hearing protection before you play."
    return [Caution(hazard=Hazard.HEARING, sentence=said)]


def _driver(peak_v: float, *, most_v: float) -> list[Caution]:
    if peak_v < most_v * 10 ** (-_NEAR_DB / 20):
        return []
    said = "Within 1 dB of the highest voltage that the chain allows: know that the unit bears it."
    return [Caution(hazard=Hazard.DRIVER, sentence=said)]


def _coil(power_w: float | None, *, most_w: float | None, duration_s: float) -> list[Caution]:
    if power_w is None or most_w is None or duration_s < _WARM_S or power_w < _WARM_PART * most_w:
        return []
    said = (
        f"{power_w:.2g} W for {duration_s:.0f} s: the coil gets hot. Let it cool before you touch "
        "the unit or measure its resistance."
    )
    return [Caution(hazard=Hazard.DRIVER, sentence=said)]


def _microphone(level_db: float | None, *, most_db: float | None) -> list[Caution]:
    if level_db is None or most_db is None or level_db < most_db - _MICROPHONE_ROOM_DB:
        return []
    said = f"The microphone's input ends at {most_db:.0f} dB: lower its gain, or the drive."
    return [Caution(hazard=Hazard.MICROPHONE, sentence=said)]
