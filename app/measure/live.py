"""What can be read of a take while it plays: level and impedance at the frequency that sounds."""

import math
from dataclasses import dataclass, field

import numpy as np

from app.measure.areas import geometry_of
from app.measure.drive_level import stated_v_rms
from app.measure.live_bands import BandReader
from app.measure.live_plan import LiveWindow, live_plan
from app.measure.surroundings import far_over_heard
from app.procedure.schema import Procedure
from dsp import Floats
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment
from hardware.card import Samples
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot

_REFERENCE_PA = 20e-6
_SOUND_M_PER_S = 344.0
# The mark stands well above the noise, or nothing is read; peaks of Gaussian noise stay below.
_ABOVE_NOISE = 3.0
# A reading of which noise is more than half the power tells nothing.
_MOSTLY_NOISE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveReading:
    """One point of the curves that grow while a take plays; to be watched, never to be judged.

    Attributes
    ----------
    hz : float
        Frequency that sounded, or the middle of a band; of one frequency the last reading holds.
    level_db : float or None
        dB re 20 µPa, referred to the procedure's voltage and distance as in the take; None
        without a microphone, or where noise hides it.
    impedance_ohm : float or None
        Magnitude; None where no current is measured.
    """

    hz: float
    level_db: float | None = None
    impedance_ohm: float | None = None


@dataclass(slots=True, eq=False)
class _Sums:
    """Weighted squares of each channel within one window, as they come in."""

    window: LiveWindow
    squares: Floats
    weight: Floats = field(init=False)

    def __post_init__(self) -> None:
        self.weight = np.zeros_like(self.squares)


class LiveReader:
    """Reads a take as it comes in.

    Powers are compared, without phase: in short windows where one frequency sounds, otherwise in
    third octaves. That bears a late start of the card, and costs next to nothing. The microphone's
    own response is taken out where the chain has it.

    Parameters
    ----------
    excitation : Excitation
        What is played.
    chain : ChainSnapshot
        What is wired.
    procedure : Procedure
        To which voltage and distance levels are referred.
    """

    def __init__(
        self, excitation: Excitation, *, chain: ChainSnapshot, procedure: Procedure
    ) -> None:
        wired = chain.chain.input.wired
        self._excitation, self._chain = excitation, chain
        self._names = tuple(wired)
        self._columns = [link.channel - 1 for link in wired.values()]
        self._noise = _Noise(channels=len(wired), frames=excitation.quiet_stop)
        self._late = _late(
            chain.chain, procedure=procedure, sample_rate_hz=excitation.sample_rate_hz
        )
        self._waiting = list(live_plan(excitation))
        self._open: list[_Sums] = []
        self._bands = [
            BandReader(excitation, segment, channels=len(wired))
            for segment in excitation.segments
            if isinstance(segment, BroadbandSegment)
        ]
        self._quiet: list[Floats] = []
        self._heard = 0
        self._latency: int | None = None
        self._refer = _Reference(chain, procedure=procedure)

    def hear(self, fresh: Samples) -> tuple[LiveReading, ...]:
        """Take in what was recorded since the last call; tell what can be read by now.

        Parameters
        ----------
        fresh : (m, channels) array
            Full-scale units, frames that follow each other without a gap.
        """
        samples = fresh[:, self._columns].astype(np.float64)
        squares = np.square(samples)
        first, self._heard = self._heard, self._heard + squares.shape[0]
        if not self._waiting and not self._open and not self._bands:
            return ()
        if first < self._excitation.quiet_stop:
            self._hear_quiet(samples[: self._excitation.quiet_stop - first])
        if self._latency is None:
            self._latency = self._find_mark(squares, first=first)
        if self._latency is None:
            return ()
        at = first - self._latency
        return (*self._read(squares, first=at), *self._read_bands(samples, first=at))

    def _hear_quiet(self, samples: Floats) -> None:
        self._noise.add(np.square(samples))
        if not self._bands:
            return
        self._quiet.append(samples)
        if sum(piece.shape[0] for piece in self._quiet) >= self._excitation.quiet_stop:
            silence = np.concatenate(self._quiet)
            for reader in self._bands:
                reader.hear_quiet(silence)

    def _find_mark(self, squares: Floats, *, first: int) -> int | None:
        skip = max(0, self._excitation.quiet_stop - first)
        # The most direct wire tells when the output played.
        direct = max(range(len(self._names)), key=lambda c: _DIRECT.index(self._names[c]))
        limit = _ABOVE_NOISE**2 * self._noise.peak_square[direct]
        above = np.flatnonzero(squares[skip:, direct] > limit)
        if not above.size:
            return None
        return max(0, first + skip + int(above[0]) - self._excitation.mark_starts[0])

    def _read(self, squares: Floats, *, first: int) -> tuple[LiveReading, ...]:
        """Add frames to every window that they touch; ``first`` counts from the excitation."""
        count, most_late = squares.shape[0], max(self._late)
        while self._waiting and self._waiting[0].start < first + count:
            self._open.append(
                _Sums(window=self._waiting.pop(0), squares=np.zeros(len(self._names)))
            )
        done: list[LiveReading] = []
        for sums in tuple(self._open):
            for channel, late in enumerate(self._late):
                weights = sums.window.weights(first - late, count)
                sums.squares[channel] += weights @ squares[:, channel]
                sums.weight[channel] += weights.sum()
            if sums.window.stop + most_late <= first + count:
                self._open.remove(sums)
                if (reading := self._reading(sums)) is not None:
                    done.append(reading)
        return tuple(done)

    def _read_bands(self, samples: Floats, *, first: int) -> tuple[LiveReading, ...]:
        """Give frames to every segment that sounds at all frequencies at once."""
        told = [
            self._refer.reading(
                self._above(band.heard, noise=band.noise),
                hz=band.hz,
                drive_v_rms=math.sqrt(band.drive_v2),
            )
            for reader in self._bands
            if first + samples.shape[0] > reader.start
            for band in reader.hear(samples, first=first)
        ]
        self._bands = [reader for reader in self._bands if not reader.is_done]
        return tuple(told)

    def _reading(self, sums: _Sums) -> LiveReading | None:
        if not sums.weight.min() > 0:
            return None
        powers = sums.squares / sums.weight
        window = sums.window
        return self._refer.reading(
            self._above(powers, noise=self._noise.mean_square),
            hz=window.hz,
            drive_v_rms=window.peak_v / math.sqrt(2),
        )

    def _above(self, powers: Floats, *, noise: Floats) -> dict[str, float]:
        """Return the rms of every channel that stands above its noise, by name."""
        return {
            name: math.sqrt(power - quiet)
            for name, power, quiet in zip(self._names, powers, noise, strict=True)
            if power > _MOSTLY_NOISE * quiet and power > 0
        }


_DIRECT = ("ambient", "pressure", "sense", "terminal", "loopback")  # the most direct one last


class _Noise:
    """Mean and peak of what every channel hears before anything plays."""

    def __init__(self, *, channels: int, frames: int) -> None:
        self._left, self._count = frames, 0
        self._sum = np.zeros(channels)
        self.peak_square: Floats = np.zeros(channels)

    def add(self, squares: Floats) -> None:
        piece = squares[: self._left]
        self._left -= piece.shape[0]
        self._count += piece.shape[0]
        self._sum += piece.sum(axis=0)
        self.peak_square = np.maximum(self.peak_square, piece.max(axis=0, initial=0.0))

    @property
    def mean_square(self) -> Floats:
        out: Floats = self._sum / max(1, self._count)
        return out


class _Reference:
    """Turns full-scale units of the channels into level and impedance."""

    def __init__(self, snapshot: ChainSnapshot, *, procedure: Procedure) -> None:
        self._chain = snapshot.chain
        self._table = snapshot.response
        geometry = geometry_of(procedure)
        self._stated_v = stated_v_rms(procedure, chain=snapshot.chain)
        self._nearer = far_over_heard(
            geometry,
            ambient=snapshot.chain.ambient,
            distance_m=geometry.reference_distance_m,
        )

    def reading(self, rms: dict[str, float], *, hz: float, drive_v_rms: float) -> LiveReading:
        current = self._current(rms)
        source = self._source(rms, drive_v_rms=drive_v_rms)
        terminal = self._terminal(rms)
        sense = self._chain.input.sense
        ohm = 0.0 if sense is None else sense.lead_ohm
        if sense is not None and not terminal:
            ohm += sense.resistor_ohm
        # Magnitudes alone: resistor and leads are small, and their drop nearly in phase.
        volts = (terminal or source) - ohm * (current or 0.0)
        return LiveReading(
            hz=hz,
            level_db=self._level(rms, volts=volts, hz=hz),
            impedance_ohm=volts / current if current else None,
        )

    def _current(self, rms: dict[str, float]) -> float | None:
        sense = self._chain.input.sense
        if sense is None or "sense" not in rms:
            return None
        return rms["sense"] * sense.full_scale_v / (sense.gain * sense.resistor_ohm)

    def _terminal(self, rms: dict[str, float]) -> float | None:
        wire = self._chain.input.terminal
        if wire is None or "terminal" not in rms:
            return None
        return rms["terminal"] * wire.full_scale_v / wire.gain

    def _source(self, rms: dict[str, float], *, drive_v_rms: float) -> float:
        loop = self._chain.input.loopback
        if loop is not None and "loopback" in rms:
            gain = abs(self._chain.output.drive.amplifier_gain)
            return rms["loopback"] * loop.full_scale_v * gain
        return drive_v_rms

    def _level(self, rms: dict[str, float], *, volts: float, hz: float) -> float | None:
        mic = self._chain.input.pressure
        if mic is None or "pressure" not in rms or volts <= 0:
            return None
        pascal = rms["pressure"] * mic.full_scale_v / mic.preamplifier_gain
        pascal /= mic.sensitivity_v_per_pa
        level = 20 * math.log10(pascal * self._nearer / _REFERENCE_PA)
        if self._stated_v is not None:
            level += 20 * math.log10(self._stated_v / volts)
        if self._table is not None:
            level -= float(np.interp(math.log(hz), np.log(self._table.hz), self._table.db))
        return level


def _late(chain: Chain, *, procedure: Procedure, sample_rate_hz: float) -> tuple[int, ...]:
    """Return by how many frames each channel is later than the most direct one."""
    wired = chain.input.wired
    flight = round(procedure.geometry.distance_m / _SOUND_M_PER_S * sample_rate_hz)
    late = {"pressure": flight if len(wired) > 1 else 0}
    if chain.input.sense is not None and chain.input.terminal is not None:
        late["sense"] = round(chain.input.sense.late_s * sample_rate_hz)
    return tuple(late.get(name, 0) for name in wired)
