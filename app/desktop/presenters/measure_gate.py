"""The impulse response from just before its arrival, the gate on it, and what the gate costs."""

import math
from dataclasses import dataclass

import numpy as np

from app.measure.keep_merged import is_merged
from app.procedure.schema import Geometry
from app.records.take import Take
from dsp import Floats
from dsp.response.impulse import ImpulseResponse
from dsp.response.reflection import Reflection

BEFORE_MS, AFTER_MS = 1.0, 12.0  # about the arrival; a longer gate widens it


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
    told : str
        What the gate costs, for a person.
    """

    t_ms: Floats
    span_ms: tuple[float, float]
    pa_per_v: Floats
    gate_ms: float | None
    told: str


def gate_state(
    geometry: Geometry,
    *,
    take: Take | None,
    impulse: ImpulseResponse | None,
    reflection: Reflection | None = None,
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
    reflection : Reflection or None
        The first one in it; None where none stands out.
    """
    span_ms = (-BEFORE_MS, max(AFTER_MS, 1.25 * (geometry.gate_ms or 0.0)))
    t_ms, samples = _cut(impulse, span_ms=span_ms)
    return GateState(
        t_ms=t_ms,
        span_ms=span_ms,
        pa_per_v=samples,
        gate_ms=geometry.gate_ms,
        told=_told(geometry, take=take, impulse=impulse, reflection=reflection),
    )


def _cut(impulse: ImpulseResponse | None, *, span_ms: tuple[float, float]) -> tuple[Floats, Floats]:
    if impulse is None:
        return np.empty(0), np.empty(0)
    rate_per_ms = impulse.sample_rate_hz / 1e3
    start = max(0, impulse.arrival_index + round(span_ms[0] * rate_per_ms))
    stop = min(impulse.samples.size, impulse.arrival_index + round(span_ms[1] * rate_per_ms))
    t_ms = (np.arange(start, stop) - impulse.arrival_index) / rate_per_ms
    return t_ms, impulse.samples[start:stop].astype(np.float64)


def _told(
    geometry: Geometry,
    *,
    take: Take | None,
    impulse: ImpulseResponse | None,
    reflection: Reflection | None,
) -> str:
    if take is None:
        return (
            "Reflections are known after the first take; then set the gate before them."
            if geometry.gate_ms is None
            else "The gate is drawn on the response after the first take."
        )
    if impulse is None and take.procedure.excitation.kind not in {"log_sweep", "series"}:
        return "Nothing was swept, so there is no impulse response to gate."
    if "level" not in take.curves:
        return "No microphone is wired: the gate changes nothing."
    if is_merged(take):
        return "The far field’s response, which was merged behind its own gate."
    played_ms = take.procedure.geometry.gate_ms
    if geometry.gate_ms != played_ms:
        now = _with(geometry.gate_ms)
        return f"This take was derived {_with(played_ms)}. Press D to derive it {now}."
    if impulse is None:
        return ""  # on its way
    return _open(reflection) if played_ms is None else _gated(take, reflection)


def _heard(reflection: Reflection) -> str:
    # Two lines of the column at the most: otherwise they fold in a low window.
    below_db = -20 * math.log10(reflection.strength)
    return f"Reflection at {reflection.after_s * 1e3:.1f} ms, {below_db:.0f} dB down"


def _open(reflection: Reflection | None) -> str:
    if reflection is None:
        return "No reflection stands out: the gate may stay open."
    return f"{_heard(reflection)}. Drag the gate in front of it."


def _gated(take: Take, reflection: Reflection | None) -> str:
    gate_ms = take.procedure.geometry.gate_ms or 0.0
    if reflection is not None and reflection.after_s * 1e3 < gate_ms:
        return f"{_heard(reflection)}, is let in: close the gate before it."
    valid = take.curves["level"].valid
    since = f"valid from {valid.low_hz:.0f} Hz"
    if valid.low_reason != "gate":
        since = f"{since} ({valid.low_reason})"
    if reflection is None:
        return f"No reflection stands out. The level is {since}."
    return f"{_heard(reflection)}, is cut: {since}."


def _with(gate_ms: float | None) -> str:
    return "with the gate open" if gate_ms is None else f"with a gate of {gate_ms:g} ms"
