"""What sits on the microphone of the rig in software, for whoever learns to calibrate."""

from app.calibrate.asked import Asked
from app.calibrate.coupling import ListenFor
from dsp.calibration.instrument import Instrument
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.virtual_schema import Calibrator

AS_STATED = "as the chain says"
WELL = "seated well"
LEAKS = "its coupler leaks"
SINKS = "its battery is low"
TOUCHED = "somebody touches it"
OTHER = "10 dB lower than named"
FAST = "runs too fast"
HUMS = "a mains cable beside"
_SCATTER_DB = 0.02  # of a careful hand


def rig_options(chain: Chain) -> tuple[tuple[str, str], ...]:
    """Return what can be put on, as key and words; none on a real bench."""
    if chain.device.backend != "virtual":
        return ()
    stated = chain.virtual is not None and chain.virtual.calibrator is not None
    keys = (*((AS_STATED,) if stated else ()), WELL, LEAKS, SINKS, TOUCHED, OTHER, FAST, HUMS)
    return tuple((key, key) for key in keys)


def on_rig(key: str, *, kind: str, level_db: float, hz: float) -> Calibrator | None:
    """Return what gives the sound.

    Parameters
    ----------
    key : str
        Of ``rig_options``.
    kind : str
        ``pistonphone`` or ``sound calibrator``.
    level_db, hz : float
        As its certificate says.

    Returns
    -------
    Calibrator; None where the chain says it.
    """
    if key in {"", AS_STATED}:
        return None
    well = Calibrator.model_validate(
        {"kind": kind, "level_db": level_db, "frequency_hz": hz, "scatter_db": _SCATTER_DB}
    )
    changes: dict[str, float] = {
        LEAKS: {"leak_db": 1.2, "drift_db_per_s": -0.03},
        SINKS: {"drift_db_per_s": -0.04},
        TOUCHED: {"wander_db": 0.6},
        OTHER: {"level_db": level_db - 10},
        FAST: {"frequency_hz": 1.02 * hz},
        HUMS: {"hum_db_spl": level_db - 30},
    }.get(key, {})
    return well.model_copy(update=changes)


def listen_for(
    chain: ChainSnapshot, instrument: Instrument, *, asked: Asked, rig: str, couplings: int
) -> ListenFor:
    """Return what is to be heard next.

    Parameters
    ----------
    chain, instrument : ChainSnapshot, Instrument
        Through which, of what.
    asked : Asked
        In which air.
    rig : str
        What sits on the rig's microphone, where it is one.
    couplings : int
        How many were heard before: after one of them the instrument has to come off first.
    """
    sounds = None
    if rig_options(chain.chain):
        sounds = on_rig(
            rig,
            kind=instrument.kind.value,
            level_db=instrument.level_db,
            hz=instrument.frequency_hz,
        )
    return ListenFor(
        chain=chain,
        instrument=instrument,
        conditions=asked.conditions,
        after_silence=couplings > 0,
        on_rig=sounds,
    )
