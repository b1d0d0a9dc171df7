"""The impulse response from just before its arrival, the gate on it, and what the gate costs."""

from dataclasses import dataclass

import numpy as np

from app.procedure.schema import Geometry
from app.records.take import Take
from dsp import Floats
from dsp.response.impulse import ImpulseResponse

BEFORE_MS, AFTER_MS = 1.0, 12.0  # about the arrival; a longer gate widens it
_MOUNTED = {
    "baffle": "on baffle",
    "box": "in a box",
    "near_field": "near field",
    "free": "free",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GateState:
    """What the gate plot shows.

    Attributes
    ----------
    t_ms : (n,) array
        ms after the arrival; empty where nothing was swept.
    span_ms : (low, high)
        What is shown of time.
    pa_per_v : (n,) array
        The response.
    gate_ms : float or None
        Where the gate closes; None where it is left open.
    mounted : str
        The quiet fact in the head.
    told : str
        What the gate costs, for a person.
    """

    t_ms: Floats
    span_ms: tuple[float, float]
    pa_per_v: Floats
    gate_ms: float | None
    mounted: str
    told: str


def gate_state(
    geometry: Geometry, *, take: Take | None, impulse: ImpulseResponse | None
) -> GateState:
    """Present the gate of a procedure on the impulse response of a take.

    Parameters
    ----------
    geometry : Geometry
        Of the procedure on the bench, which the gate's field edits.
    take : Take or None
        What is shown.
    impulse : ImpulseResponse or None
        Of that take; None where nothing was swept or it has not been derived again yet.
    """
    span_ms = (-BEFORE_MS, max(AFTER_MS, 1.25 * (geometry.gate_ms or 0.0)))
    t_ms, samples = _cut(impulse, span_ms=span_ms)
    return GateState(
        t_ms=t_ms,
        span_ms=span_ms,
        pa_per_v=samples,
        gate_ms=geometry.gate_ms,
        mounted=_MOUNTED[geometry.mounting],
        told=_told(geometry, take=take, impulse=impulse),
    )


def _cut(impulse: ImpulseResponse | None, *, span_ms: tuple[float, float]) -> tuple[Floats, Floats]:
    if impulse is None:
        return np.empty(0), np.empty(0)
    rate_per_ms = impulse.sample_rate_hz / 1e3
    start = max(0, impulse.arrival_index + round(span_ms[0] * rate_per_ms))
    stop = min(impulse.samples.size, impulse.arrival_index + round(span_ms[1] * rate_per_ms))
    t_ms = (np.arange(start, stop) - impulse.arrival_index) / rate_per_ms
    return t_ms, impulse.samples[start:stop]


def _told(geometry: Geometry, *, take: Take | None, impulse: ImpulseResponse | None) -> str:
    if take is None:
        return (
            "Reflections are known after the first take; then set the gate before them."
            if geometry.gate_ms is None
            else "The gate is drawn on the response after the first take."
        )
    if impulse is None and take.procedure.excitation.kind not in {"log_sweep", "series"}:
        return "Nothing was swept, so there is no impulse response to gate."
    level = take.curves.get("level")
    played_ms = take.procedure.geometry.gate_ms
    if geometry.gate_ms != played_ms:
        now = _with(geometry.gate_ms)
        return f"This take was derived {_with(played_ms)}. Press D to derive it {now}."
    if level is None:
        return "No microphone is wired: the gate changes nothing."
    if played_ms is None:
        return "Open: reflections are in the curves. Drag the gate in front of the first one."
    if level.valid.low_reason == "gate":
        return (
            f"The gate closes {played_ms:g} ms after the arrival, so the level is valid from "
            f"{level.valid.low_hz:.0f} Hz."
        )
    return (
        f"The gate closes {played_ms:g} ms after the arrival; what limits the level is the "
        f"{level.valid.low_reason}, at {level.valid.low_hz:.0f} Hz."
    )


def _with(gate_ms: float | None) -> str:
    return "with the gate open" if gate_ms is None else f"with a gate of {gate_ms:g} ms"
