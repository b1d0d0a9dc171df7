"""What the head of the level plot says the level is stated for."""

from app.measure.drive_level import stated_v_rms
from app.procedure.schema import Procedure
from hardware.chain.schema import Chain


def level_unit(procedure: Procedure, *, chain: Chain) -> str:
    """Return reference, distance and voltage of the level of a procedure on a chain."""
    volts = stated_v_rms(procedure, chain=chain)
    stated = "the voltage played" if volts is None else f"{volts:.3g} V"
    return f"dB re 20 µPa, {procedure.geometry.reference_distance_m:g} m, {stated}"
