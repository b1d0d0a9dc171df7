"""What sits on the microphone of the rig in software, for whoever learns to calibrate."""

from hardware.chain.schema import Calibrator, Chain

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
    changes: dict[str, object] = {
        LEAKS: {"leak_db": 1.2, "drift_db_per_s": -0.03},
        SINKS: {"drift_db_per_s": -0.04},
        TOUCHED: {"wander_db": 0.6},
        OTHER: {"level_db": level_db - 10},
        FAST: {"frequency_hz": 1.02 * hz},
        HUMS: {"hum_db_spl": level_db - 30},
    }.get(key, {})
    assert isinstance(changes, dict)
    return well.model_copy(update=changes)
