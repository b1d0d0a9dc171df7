"""Impedance of a capture that has a current."""

from app.measure.found import Found
from app.measure.scene import Scene
from dsp.electrical.impedance import magnitude, phase


def electrical(scene: Scene) -> Found:
    """Derive what voltage and current tell."""
    found, current = scene.terminals.impedance, scene.terminals.current
    if found is None or current is None:
        return Found()
    valid = scene.valid_for(current, acoustic=False)
    return Found(
        curves={
            "impedance": magnitude(found, valid=valid),
            "impedance_phase": phase(found, valid=valid),
        }
    )
