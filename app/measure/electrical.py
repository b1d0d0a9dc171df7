"""Impedance of a capture that has a current."""

from dataclasses import replace

from app.measure.acoustic import NOISE_ALONE
from app.measure.found import Found
from app.measure.scene import Scene
from dsp.electrical.impedance import magnitude, phase
from hardware.chain.budget import impedance_budget


def electrical(scene: Scene) -> Found:
    """Derive what voltage and current tell."""
    found, current = scene.terminals.impedance, scene.terminals.current
    if found is None or current is None:
        return Found()
    valid = scene.valid_for(current, acoustic=False)
    size, angle = magnitude(found, valid=valid), phase(found, valid=valid)
    if impedance_budget(scene.chain.chain).states_none:
        size = replace(size, how=f"{size.how}; {NOISE_ALONE}")
    return Found(curves={"impedance": size, "impedance_phase": angle})
