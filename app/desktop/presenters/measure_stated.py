"""What the level is stated for, and from where on the gate will let it hold."""

from app.measure.drive_level import stated_v_rms
from app.procedure.schema import Procedure
from dsp.acoustic.valid_range import gate_low_hz
from hardware.chain.schema import Chain


def level_unit(procedure: Procedure, *, chain: Chain) -> str:
    """Return reference, distance and voltage of the level of a procedure on a chain."""
    volts = stated_v_rms(procedure, chain=chain)
    stated = "the voltage played" if volts is None else f"{volts:.3g} V"
    return f"dB re 20 µPa, {procedure.geometry.reference_distance_m:g} m, {stated}"


def planned_from_hz(procedure: Procedure) -> float | None:
    """Return from where on the level will hold through the procedure's gate; None: it is open."""
    gate_ms = procedure.geometry.gate_ms
    return None if gate_ms is None else gate_low_hz(gate_ms / 1e3)
