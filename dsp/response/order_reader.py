"""Reads one order's response at the frequencies asked for, and predicts the noise in it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dsp.arrays import Bools, Complexes, Floats, read_only
from dsp.excitation.log_sweep import highest_order_hz
from dsp.response.impulse import ImpulseResponse
from dsp.response.order_window import OrderWindow, brief, gated
from dsp.response.quiet_noise import QuietNoise
from dsp.response.spectrum_reader import SpectrumReader, spectrum_reader
from dsp.response.sweep_plan import SweepPlan

# Below the first the wide window counts alone, above the second the brief one.
_WIDE_TO_HZ, _BRIEF_FROM_HZ = 700.0, 1400.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OrderAnswer:
    """One order.

    Attributes
    ----------
    response : (m,) complex array
        Channel's unit per volt.
    deviation : (m,) array
        Standard deviation of its real (equally of its imaginary) part from noise, same unit.
    """

    response: Complexes
    deviation: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Look:
    """One window about the arrival, and the frequencies that are read through it.

    Attributes
    ----------
    first : int
        Sample of the order's response at which the window starts.
    shape : (k,) array or None
        Weights; None where the response comes windowed.
    reader : SpectrumReader
        For k samples.
    where : (m,) bool array
        Frequencies that it has a share in.
    share : array
        Its share in each of those.
    """

    first: int
    shape: Floats | None
    reader: SpectrumReader
    where: Bools
    share: Floats

    def read(self, samples: NDArray[np.floating]) -> Complexes:
        """Read a response through the window.

        Parameters
        ----------
        samples : (n,) array
            Of the order, any unit.

        Returns
        -------
        complex array, that unit: one for each frequency of ``where``, times its share.
        """
        if self.shape is not None:
            seen = samples[self.first : self.first + self.shape.size]
            samples = np.multiply(seen, self.shape, dtype=samples.dtype)
        out: Complexes = self.share * self.reader.read(samples)
        return out


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OrderReader:
    """What reading one order can prepare before anything is recorded.

    Attributes
    ----------
    order : int
        1 and up.
    output_hz : (m,) array
        Hz at which it sounds: ``order`` times the first m of the drive's frequencies.
    sample_rate_hz : float
        Hz.
    looks : tuple of Look
        Windows about the arrival that share out the frequencies.
    seen_at : (m,) array
        Sample of the stretch that the window's first sample sees, were there no delay.
    count : int
        Samples of the stretch.
    energy : (n + 1, 3) array
        Sums of the wide window's weights squared, of both windows' product, and of the brief one's
        squared, up to each of n samples.
    share : (3, m) array
        What of each of the three counts.
    power : (m,) array
        V^2, of the order in the sweep.
    """

    order: int
    output_hz: Floats
    sample_rate_hz: float
    looks: tuple[Look, ...]
    seen_at: Floats
    count: int
    energy: Floats
    share: Floats
    power: Floats

    def __post_init__(self) -> None:
        for name in ("output_hz", "seen_at", "energy", "share", "power"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def read(self, impulse: ImpulseResponse, *, noise: QuietNoise) -> OrderAnswer:
        """Evaluate the order.

        Parameters
        ----------
        impulse : ImpulseResponse
            Of this order, as wide as the plan says.
        noise : QuietNoise
            Of the channel.

        Returns
        -------
        OrderAnswer
        """
        delay = impulse.arrival_index - impulse.zero_index
        response = np.zeros(self.output_hz.size, dtype=np.complex128)
        for look in self.looks:
            response[look.where] += look.read(impulse.samples)
        response *= np.exp((-2j * np.pi * delay / self.sample_rate_hz) * self.output_hz)
        density = noise.density_at(self.output_hz)
        seen = self._energy_seen(self.seen_at + delay)
        variance = density * (self.sample_rate_hz / 2) * seen / self.power
        return OrderAnswer(response=response, deviation=np.sqrt(variance / 2))

    def _energy_seen(self, moment: Floats) -> Floats:
        # What the window would see beyond the recording's ends holds no noise.
        size = self.energy.shape[0] - 1
        last = np.clip(self.count - moment, 0, size).astype(np.int64)
        first = np.clip(-moment, 0, size).astype(np.int64)
        out: Floats = np.einsum("sm,ms->m", self.share, self.energy[last] - self.energy[first])
        return out


def order_readers(
    plan: SweepPlan, *, orders: int, frequency_hz: Floats, gate_s: float | None
) -> tuple[OrderReader, ...]:
    """Prepare to read a sweep's orders.

    Parameters
    ----------
    plan : SweepPlan
        What is played.
    orders : int
        How many, from 1 on.
    frequency_hz : (m,) array
        Hz, of the drive, rising, within the span of the sweep.
    gate_s : float or None
        s after the arrival; None: no gate.

    Returns
    -------
    tuple of OrderReader, one for each order that has a window, for the frequencies at which it can
    be played and heard.
    """
    readers = []
    for order in range(1, orders + 1):
        window = plan.orders[order - 1].window
        if window.before > 0 and window.after > 0:
            top_hz = plan.segment.stop_hz if order == 1 else highest_order_hz(plan.sample_rate_hz)
            output_hz = order * frequency_hz
            output_hz = output_hz[output_hz <= top_hz * (1 + 1e-9)]
            readers.append(_order_reader(plan, order=order, output_hz=output_hz, gate_s=gate_s))
    return tuple(readers)


def _order_reader(
    plan: SweepPlan, *, order: int, output_hz: Floats, gate_s: float | None
) -> OrderReader:
    whole = plan.orders[order - 1].window
    rate_hz = plan.sample_rate_hz
    if gate_s is not None:
        wide = gated(whole, gate_s=gate_s, sample_rate_hz=rate_hz)
        short = wide
    else:
        wide, short = whole, brief(whole, order=order, sample_rate_hz=rate_hz)
    share = np.log(output_hz / _WIDE_TO_HZ) / np.log(_BRIEF_FROM_HZ / _WIDE_TO_HZ)
    share = np.clip(share, 0, 1) if short.after < wide.after else np.zeros(output_hz.size)
    looks = tuple(
        _look(window, within=whole, output_hz=output_hz, share=part, sample_rate_hz=rate_hz)
        for window, part in ((wide, 1 - share), (short, share))
        if np.any(part > 0)
    )
    narrow = np.pad(short.shape, (wide.before - short.before, wide.after - short.after))
    weights = np.stack([wide.shape**2, wide.shape * narrow, narrow**2], axis=1)
    # Where in the stretch the noise was recorded that the window's first sample sees: as long
    # before the sweep passed there as the window reaches before time zero.
    passed_s = plan.segment.rate_s * np.log(output_hz / (order * plan.segment.first_hz))
    start = plan.segment.start - plan.begin
    return OrderReader(
        order=order,
        output_hz=output_hz,
        sample_rate_hz=rate_hz,
        looks=looks,
        seen_at=start + passed_s * rate_hz - wide.before,
        count=plan.end - plan.begin,
        energy=np.concatenate([np.zeros((1, 3)), np.cumsum(weights, axis=0)]),
        share=np.stack([(1 - share) ** 2, 2 * share * (1 - share), share**2]),
        power=plan.power_at(output_hz * (plan.size / rate_hz), order=order),
    )


def _look(
    window: OrderWindow,
    *,
    within: OrderWindow,
    output_hz: Floats,
    share: Floats,
    sample_rate_hz: float,
) -> Look:
    where = share > 0
    return Look(
        first=within.before - window.before,
        shape=None if window == within else window.shape,
        reader=spectrum_reader(
            before=window.before,
            after=window.after,
            sample_rate_hz=sample_rate_hz,
            frequency_hz=output_hz[where],
        ),
        where=where,
        share=share[where],
    )
