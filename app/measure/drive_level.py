"""How strong a procedure drives the unit: what it states, and the same procedure turned down."""

import math
from dataclasses import replace

from app.procedure.excitation_schema import Level, Series
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from hardware.chain.schema import Chain


def stated_v_rms(procedure: Procedure, *, chain: Chain) -> float | None:
    """Return the voltage across the terminals that levels are referred to, V rms.

    It is the procedure's ``reference_v`` where it has one, otherwise the drive of its excitation;
    None where that is in watts and the chain has no nominal impedance.
    """
    if procedure.quantities.level.reference_v is not None:
        return procedure.quantities.level.reference_v
    return drive_v_rms(procedure, chain=chain)


def drive_v_rms(procedure: Procedure, *, chain: Chain) -> float | None:
    """Return the voltage that a procedure drives the unit with, V rms; of a series its first part.

    None where it is in watts and the chain has no nominal impedance.
    """
    excitation: Level = procedure.excitation
    if isinstance(excitation, Series) and not excitation.has_level:
        excitation = excitation.parts[0]
    if excitation.level_v_rms is not None:
        return excitation.level_v_rms
    nominal = chain.output.drive.nominal_ohm
    if excitation.level_w is not None and nominal is not None:
        return math.sqrt(excitation.level_w * nominal)
    return None


def turned_down(loaded: LoadedProcedure, *, scale: float, chain: Chain) -> LoadedProcedure:
    """Return the same procedure at ``scale`` times its voltage.

    Levels stay referred to the voltage that it stated, so that its masks still mean what they
    meant; distortion does not, and belongs to the drive that was played.
    """
    procedure = loaded.procedure
    excitation = procedure.excitation
    quieter = excitation.model_copy(update=_scaled(excitation, scale=scale))
    if isinstance(quieter, Series):
        parts = tuple(one.model_copy(update=_scaled(one, scale=scale)) for one in quieter.parts)
        quieter = quieter.model_copy(update={"parts": parts})
    level = procedure.quantities.level.model_copy(
        update={"reference_v": stated_v_rms(procedure, chain=chain)}
    )
    quantities = procedure.quantities.model_copy(update={"level": level})
    changed = procedure.model_copy(update={"excitation": quieter, "quantities": quantities})
    return replace(loaded, procedure=changed)


def _scaled(excitation: Level, *, scale: float) -> dict[str, float]:
    changed = {}
    if excitation.level_v_rms is not None:
        changed["level_v_rms"] = excitation.level_v_rms * scale
    if excitation.level_w is not None:
        changed["level_w"] = excitation.level_w * scale**2
    return changed
