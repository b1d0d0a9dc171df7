"""What each channel of a recording answered: one ``Harmonics`` a channel, whatever was played."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from dsp import Floats
from dsp.defects.sweep_residual import LOWER_ORDERS, SweepRest
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, ToneSegment
from dsp.grid import log_grid
from dsp.response.broadband_answer import broadband_answer
from dsp.response.harmonics import Harmonics
from dsp.response.impulse import ImpulseResponse
from dsp.response.order_reader import OrderReader, order_readers
from dsp.response.quiet_noise import QuietNoise, quiet_noise
from dsp.response.recording import Recording
from dsp.response.sweep_answer import sweep_answer
from dsp.response.sweep_plan import SweepPlan, sweep_plan
from dsp.response.tone_answer import tone_answer


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PreparedSweep:
    """One sweep; how the pressure's orders are read, and the other channels' fundamental."""

    plan: SweepPlan
    acoustic: tuple[OrderReader, ...]
    electrical: tuple[OrderReader, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Plan:
    """How a recording is read: which segments, at which frequencies, to which order.

    Attributes
    ----------
    excitation : Excitation
        What was played.
    indices : tuple of int
        Segments that repeat one another, and are averaged.
    frequency_hz : (m,) array
        Hz, for sweeps and broadband signals; tones have their own.
    orders : int
        For the pressure; the electrical channels need fewer.
    gate_s : float or None
        s after the arrival, for the pressure alone.
    sweeps : tuple of PreparedSweep
        What depends on the excitation alone: one for each index, where that is a sweep.
    """

    excitation: Excitation
    indices: tuple[int, ...]
    frequency_hz: Floats
    orders: int
    gate_s: float | None
    sweeps: tuple[PreparedSweep, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Answers:
    """The channels that are wired, each read; None where there is none.

    ``impulse`` is that of the pressure, per volt of drive, ``rest`` what the lower orders of its
    first sweep leave, ``noise`` what the silence before it holds; None where nothing was swept.
    """

    pressure: Harmonics | None
    current: Harmonics | None
    terminal: Harmonics | None
    loopback: Harmonics | None
    impulse: ImpulseResponse | None
    rest: SweepRest | None = None
    noise: QuietNoise | None = None


def plan(
    excitation: Excitation,
    *,
    indices: Sequence[int],
    orders: int,
    per_octave: int,
    gate_s: float | None,
) -> Plan:
    """Prepare what does not depend on the recording: it can be done while the excitation plays."""
    segment = excitation.segments[indices[0]]
    sweeps: tuple[PreparedSweep, ...] = ()
    match segment:
        case LogSweepSegment(start_hz=low, stop_hz=high):
            grid = log_grid(low_hz=low, high_hz=high, per_octave=per_octave)
            sweeps = tuple(
                _prepared(
                    sweep_plan(excitation, segment_index=index, orders=orders),
                    grid=grid,
                    gate_s=gate_s,
                )
                for index in indices
            )
        case BroadbandSegment(frequency_hz=lines) if lines.size:
            grid = lines
        case BroadbandSegment(low_hz=low, high_hz=high):
            grid = log_grid(low_hz=low, high_hz=high, per_octave=per_octave)
        case ToneSegment(frequency_hz=tones):
            grid = np.unique(tones)
    return Plan(
        excitation=excitation,
        indices=tuple(indices),
        frequency_hz=grid,
        orders=orders,
        gate_s=gate_s,
        sweeps=sweeps,
    )


def plan_with_gate(plan: Plan, *, gate_s: float | None) -> Plan:
    """Return the same plan with another gate."""
    grid = plan.frequency_hz
    sweeps = tuple(_prepared(one.plan, grid=grid, gate_s=gate_s) for one in plan.sweeps)
    return replace(plan, gate_s=gate_s, sweeps=sweeps)


def _prepared(sweep: SweepPlan, *, grid: Floats, gate_s: float | None) -> PreparedSweep:
    orders = len(sweep.orders)
    return PreparedSweep(
        plan=sweep,
        acoustic=order_readers(sweep, orders=orders, frequency_hz=grid, gate_s=gate_s),
        electrical=order_readers(sweep, orders=1, frequency_hz=grid, gate_s=None),
    )


def answers(recording: Recording, *, plan: Plan) -> Answers:
    """Read every channel of a recording, and undo the latency that is known so far."""
    electrical = (recording.current_a, recording.terminal_v, recording.loopback_v)
    # Up to a sixth sooner than one after the other: their transforms let go of the interpreter.
    with ThreadPoolExecutor(max_workers=1) as beside:
        waiting = [beside.submit(_read, channel, plan=plan) for channel in electrical]
        pressure = _read(recording.pressure_pa, plan=plan, acoustic=True)
        current, terminal, loopback = (one.result() for one in waiting)
    late = recording.latency_s
    return Answers(
        pressure=_on_time(pressure, late_s=late),
        current=_on_time(current, late_s=late),
        terminal=_on_time(terminal, late_s=late),
        loopback=_on_time(loopback, late_s=late),
        impulse=pressure.impulse if pressure else None,
        rest=pressure.rest if pressure else None,
        noise=pressure.noise if pressure else None,
    )


def advance(harmonics: Harmonics, *, seconds: float) -> Harmonics:
    """Undo a delay: order n turns forward by n times the fundamental's angle."""
    if seconds == 0:
        return harmonics
    orders = np.arange(1, harmonics.amplitude.shape[0] + 1)[:, np.newaxis]
    turn = np.exp(2j * np.pi * seconds * orders * harmonics.frequency_hz)
    return Harmonics(
        frequency_hz=harmonics.frequency_hz,
        amplitude=harmonics.amplitude * turn,
        noise=harmonics.noise,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Reading:
    harmonics: Harmonics
    impulse: ImpulseResponse | None
    rest: SweepRest | None = None
    noise: QuietNoise | None = None


def _on_time(reading: _Reading | None, *, late_s: float) -> Harmonics | None:
    return advance(reading.harmonics, seconds=late_s) if reading else None


def _read(channel: Floats | None, *, plan: Plan, acoustic: bool = False) -> _Reading | None:
    if channel is None:
        return None
    match plan.excitation.segments[plan.indices[0]]:
        case LogSweepSegment():
            return _read_sweep(channel, plan=plan, acoustic=acoustic)
        case ToneSegment():
            orders = plan.orders if acoustic else 1
            read = [
                tone_answer(channel, excitation=plan.excitation, segment_index=index, orders=orders)
                for index in plan.indices
            ]
        case BroadbandSegment():
            read = [
                broadband_answer(
                    channel,
                    reference=None,
                    excitation=plan.excitation,
                    segment_index=index,
                    frequency_hz=plan.frequency_hz,
                )
                for index in plan.indices
            ]
    return _Reading(harmonics=_mean(read), impulse=None)


def _read_sweep(channel: Floats, *, plan: Plan, acoustic: bool) -> _Reading:
    orders = plan.orders if acoustic else 1
    quiet = quiet_noise(channel, excitation=plan.excitation)
    read = [
        sweep_answer(
            channel,
            excitation=plan.excitation,
            segment_index=index,
            orders=orders,
            frequency_hz=plan.frequency_hz,
            noise=quiet,
            gate_s=plan.gate_s if acoustic else None,
            plan=prepared.plan,
            readers=prepared.acoustic if acoustic else prepared.electrical,
            rest_after=LOWER_ORDERS if orders > LOWER_ORDERS and number == 0 else None,
        )
        for number, (index, prepared) in enumerate(zip(plan.indices, plan.sweeps, strict=True))
    ]
    first = read[0]
    return _Reading(
        harmonics=_mean([answer.harmonics for answer in read]),
        impulse=first.impulse,
        rest=None
        if first.rest is None
        else SweepRest(spectrum=first.rest, pressure=first.harmonics, plan=plan.sweeps[0].plan),
        noise=quiet,
    )


def _mean(repeats: Sequence[Harmonics]) -> Harmonics:
    if len(repeats) == 1:
        return repeats[0]
    count = len(repeats)
    return Harmonics(
        frequency_hz=repeats[0].frequency_hz,
        amplitude=np.mean([one.amplitude for one in repeats], axis=0),
        noise=np.sqrt(np.sum([one.noise**2 for one in repeats], axis=0)) / count,
    )
