"""Harmonics one by one and in sum, of a capture with a microphone and one tone at a time."""

from app.measure.found import Found
from app.measure.scene import Scene
from dsp.distortion.harmonic_curves import harmonic_curve, high_order, thd
from dsp.excitation.segment import BroadbandSegment

HIGHEST_CURVE = 20


def distortion(scene: Scene) -> Found:
    """Derive what the unit adds to a sine."""
    pressure = scene.pressure
    if pressure is None or isinstance(scene.segment, BroadbandSegment):
        return Found()
    asked = scene.procedure.quantities
    curves = {
        f"h{order}": harmonic_curve(pressure, order=order) for order in range(2, HIGHEST_CURVE + 1)
    }
    curves["thd"] = thd(pressure, orders=asked.thd.orders)
    curves["high_order"] = high_order(pressure, orders=asked.high_order.orders)
    return Found(curves=curves)
