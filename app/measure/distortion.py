"""Harmonics one by one and in sum, of a capture with a microphone and one tone at a time."""

import math
from collections.abc import Mapping
from dataclasses import replace

from app.measure.found import Found
from app.measure.scene import Scene
from dsp import Curve, ValidRange
from dsp.acoustic.valid_range import gate_low_hz
from dsp.distortion.equivalent_input import equivalent_input
from dsp.distortion.harmonic_curves import harmonic_curves, high_order, thd
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment
from dsp.response.harmonics import Harmonics

HIGHEST_ORDER = 20  # every harmonic up to here has a curve
# dB, k = 2: what separating the orders of a sweep leaves in each beside the noise; it averages out
# in sums. Without it the intervals of H2 held at 91 % of points (80 dB, 100 takes), with it at 94.
SWEEP_RIPPLE_DB = 0.0035


def distortion(scene: Scene) -> Found:
    """Derive what the unit adds to a sine: at the microphone, and referred to its input."""
    pressure = scene.pressure
    if pressure is None or isinstance(scene.segment, BroadbandSegment):
        return Found()
    # What the microphone does at n f is in the order and in the response alike, and cancels.
    referred = equivalent_input(pressure, voltage=scene.terminals.voltage)
    curves = {
        **_ratios(pressure, scene=scene, db=ratio_uncertainty_db(scene)),
        **{
            f"{name}_input": replace(curve, how=f"equivalent input, {curve.how}")
            for name, curve in _ratios(referred, scene=scene, db=0.0).items()
        },
    }
    return Found(curves=_inside_gate(curves, scene=scene))


def _ratios(harmonics: Harmonics, *, scene: Scene, db: float) -> dict[str, Curve]:
    """Give each order, and the sums that were asked for, re the fundamental."""
    asked = scene.procedure.quantities
    ripple_db = SWEEP_RIPPLE_DB if isinstance(scene.segment, LogSweepSegment) else 0.0
    orders = range(2, HIGHEST_ORDER + 1)
    each = harmonic_curves(harmonics, orders=orders, ratio_uncertainty_db=math.hypot(db, ripple_db))
    return {
        **{f"h{order}": curve for order, curve in zip(orders, each, strict=True)},
        "thd": thd(harmonics, orders=asked.thd.orders, ratio_uncertainty_db=db),
        "high_order": high_order(
            harmonics, orders=asked.high_order.orders, ratio_uncertainty_db=db
        ),
    }


def _inside_gate(curves: Mapping[str, Curve], *, scene: Scene) -> dict[str, Curve]:
    """Let no curve hold below the gate's reach, which cuts harmonics as it cuts fundamentals."""
    gate_ms = scene.procedure.geometry.gate_ms
    if gate_ms is None or not isinstance(scene.segment, LogSweepSegment):
        return dict(curves)
    reach = ValidRange(
        low_hz=gate_low_hz(gate_ms / 1e3), high_hz=math.inf, low_reason="gate", high_reason="gate"
    )
    return {name: replace(curve, valid=curve.valid.within(reach)) for name, curve in curves.items()}


def ratio_uncertainty_db(scene: Scene) -> float:
    """Return what the microphone's response leaves open between one frequency and another, k = 2.

    Its sensitivity cancels in a ratio; its response at the harmonic and at the fundamental are
    taken as independent.
    """
    microphone = scene.chain.chain.input.pressure
    return math.sqrt(2) * microphone.response_uncertainty_db if microphone else 0.0
