"""What one channel answers to a sweep: fundamental, harmonics, and how far noise blurs them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.response.harmonics import Harmonics
from dsp.response.impulse import ImpulseResponse
from dsp.response.order_reader import OrderReader, order_readers
from dsp.response.quiet_noise import QuietNoise
from dsp.response.separate import separate
from dsp.response.sweep_plan import SweepPlan, sweep_plan


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SweepAnswer:
    """The answer of one channel.

    Attributes
    ----------
    harmonics : Harmonics
        Phasors on the asked grid.
    impulse : ImpulseResponse
        Of the fundamental, per volt, without a gate.
    rest : (k,) complex array or None
        Spectrum of what the lower orders leave, over the plan's length; None where not asked for.
    """

    harmonics: Harmonics
    impulse: ImpulseResponse
    rest: NDArray[np.complexfloating] | None = None


def sweep_answer(
    channel: Floats,
    *,
    excitation: Excitation,
    segment_index: int,
    orders: int,
    frequency_hz: Floats,
    noise: QuietNoise,
    gate_s: float | None = None,
    plan: SweepPlan | None = None,
    readers: Sequence[OrderReader] | None = None,
    rest_after: int | None = None,
) -> SweepAnswer:
    """Read fundamental and harmonics out of a recorded sweep.

    Parameters
    ----------
    channel : (n,) array
        On the excitation's clock, any unit.
    excitation : Excitation
        What was played.
    segment_index : int
        Which of its segments, a sweep.
    orders : int
        How many, the fundamental included.
    frequency_hz : (m,) array
        Hz, rising, within the span of the sweep.
    noise : QuietNoise
        Of the same channel.
    gate_s : float or None
        s after the arrival; what comes later is cut.
    plan : SweepPlan or None
        From ``sweep_plan`` for the same segment and at least as many orders; None: made here.
    readers : sequence of OrderReader or None
        From ``order_readers`` for the same plan, orders, frequencies and gate; None: made here.
    rest_after : int or None
        Order after which what is left is kept; fewer than ``orders``.

    Returns
    -------
    SweepAnswer, harmonics (orders, m).

    Raises
    ------
    DspError
        Frequencies outside the span, a recording that ends before the sweep has decayed, a gate
        not above 0.
    """
    plan = plan or sweep_plan(excitation, segment_index=segment_index, orders=orders)
    _refuse(channel, plan=plan, orders=orders, frequency_hz=frequency_hz, gate_s=gate_s)
    plan = replace(plan, orders=plan.orders[:orders])
    stretch = channel[plan.begin : plan.end] - noise.mean
    separated = separate(stretch, plan=plan, rest_after=rest_after)
    amplitude = np.full((orders, frequency_hz.size), np.nan + 0j)
    deviation = np.full((orders, frequency_hz.size), np.nan)
    if readers is None:
        readers = order_readers(plan, orders=orders, frequency_hz=frequency_hz, gate_s=gate_s)
    for reader in readers:
        row, points = reader.order - 1, reader.output_hz.size
        read = reader.read(separated.impulses[row], noise=noise)
        # From the sine of n times the phase to the cosine's convention of Harmonics.
        scale = plan.segment.peak_v / np.sqrt(2) * 1j**row
        amplitude[row, :points] = scale * read.response
        deviation[row, :points] = abs(scale) * read.deviation
    harmonics = Harmonics(frequency_hz=frequency_hz, amplitude=amplitude, noise=deviation)
    return SweepAnswer(harmonics=harmonics, impulse=separated.impulses[0], rest=separated.rest)


def _refuse(
    channel: Floats, *, plan: SweepPlan, orders: int, frequency_hz: Floats, gate_s: float | None
) -> None:
    span = (plan.segment.start_hz, plan.segment.stop_hz)
    if not frequency_hz.size or frequency_hz[0] < span[0] * (1 - 1e-9):
        raise DspError("sweep_answer", "below the sweep", given=frequency_hz[:1], allowed=span)
    if frequency_hz[-1] > span[1] * (1 + 1e-9):
        raise DspError("sweep_answer", "above the sweep", given=frequency_hz[-1], allowed=span)
    if channel.size < plan.end:
        raise DspError(
            "sweep_answer", "recording too short", given=channel.size, allowed=f"from {plan.end}"
        )
    if len(plan.orders) < orders:
        raise DspError(
            "sweep_answer", "orders", given=orders, allowed=f"1 to {len(plan.orders)}, as planned"
        )
    if gate_s is not None and not gate_s > 0:
        raise DspError("sweep_answer", "gate_s", given=gate_s, allowed="above 0")
