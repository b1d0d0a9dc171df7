"""The rig block by block, as a card hears it while it plays: for a device that others open."""

from typing import TYPE_CHECKING

import numpy as np
import scipy.fft

from hardware.card import Samples
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.bench import bench_of
from hardware.virtual.calibrator import CalibratorSound
from hardware.virtual.chance import chance_of_take
from hardware.virtual.hum import hum_at
from hardware.virtual.in_truth import in_truth
from hardware.virtual.load import load_of
from hardware.virtual.noise import converter_noise
from hardware.virtual.rate import band_edge
from hardware.virtual.wires import Signal, microphone_noise, per_pascal, wires

if TYPE_CHECKING:
    from dsp import Complexes, Floats

# Room before the main tap for what a linear-phase edge at half the sample rate rings, and after
# it for cone modes; a microphone's table rings longer.
_BEFORE, _AFTER, _AFTER_WITH_TABLE = 200, 2048, 14_000
_NOISE_LOOP = 1 << 19  # samples until the room's noise repeats


class LiveRig:
    """Everything between an output and the inputs of a card, in blocks of any length.

    The same unit, air, microphone, gains and faults as ``VirtualCard``, and the same figures,
    but causal: so the latency is ``latency_samples``, which is that of the chain or, where that
    leaves no room for the converters' filters, the least there can be. A microphone's table without
    phase rings before its time and is cut there: good for a few thousandths of full scale. Both
    clocks are one.

    Parameters
    ----------
    snapshot : ChainSnapshot
        The chain.
    sample_rate_hz : float
        Hz of the device.
    channels : int
        How many inputs there are.

    Raises
    ------
    CardRefusedError
        No unit of that name.
    """

    def __init__(self, snapshot: ChainSnapshot, *, sample_rate_hz: float, channels: int) -> None:
        chain, bench = in_truth(snapshot.chain), bench_of(snapshot)
        self._chain, self._rate, self._at = chain, sample_rate_hz, 0
        chance = chance_of_take(bench.rig.seed, take=0)
        self._driver = load_of(
            bench, chain=chain, sample_rate_hz=sample_rate_hz, seed=chance.defects
        )
        own = self._driver.delay_samples
        self.latency_samples = max(bench.rig.latency_samples, float(own + _BEFORE))
        self._volts = chain.output.drive.full_scale_v * chain.output.drive.amplifier_gain
        self._channels, self._rng = channels, chance.noise
        self._converter_dbfs = bench.rig.converter_noise_dbfs
        after_s = bench.rig.distance_m / bench.air.speed_m_per_s + bench.rig.reflection_delay_s
        ring = _AFTER if bench.response is None else _AFTER_WITH_TABLE
        taps = int(self.latency_samples + after_s * sample_rate_hz) + ring
        taps = scipy.fft.next_fast_len(taps, real=True)
        hz = scipy.fft.rfftfreq(taps, 1 / sample_rate_hz)
        shape = np.exp(-2j * np.pi * hz * ((self.latency_samples - own) / sample_rate_hz))
        shape *= band_edge(hz / sample_rate_hz)
        self._taps: dict[tuple[int, Signal], Floats] = {
            (channel, name): scipy.fft.irfft(gain * shape, taps)
            for channel, path in wires(chain, bench=bench, frequency_hz=hz).paths.items()
            for name, gain in path.items()
            if channel <= channels and (name != "defects_pa" or bench.defects.any)
        }
        self._spectra: dict[int, dict[tuple[int, Signal], Complexes]] = {}
        self._history = {name: np.zeros(taps - 1) for _, name in self._taps}
        self._noise_channel = chain.input.pressure.channel if chain.input.pressure else 0
        self._noise, self._noise_at = np.zeros(1), 0
        if 0 < self._noise_channel <= channels:
            noise = microphone_noise(
                chain,
                bench=bench,
                samples=_NOISE_LOOP,
                sample_rate_hz=sample_rate_hz,
                rng=self._rng,
            )
            self._noise = scipy.fft.irfft(noise, _NOISE_LOOP)
        self._pascal = per_pascal(chain)
        self._calibrator = (
            CalibratorSound(
                bench.rig.calibrator,
                chain=chain,
                bench=bench,
                sample_rate_hz=sample_rate_hz,
                rng=np.random.default_rng(chance.defects),
            )
            if bench.rig.calibrator and 0 < self._noise_channel <= channels
            else None
        )

    def process(self, output: Samples) -> Samples:
        """Play the next block and record meanwhile.

        Parameters
        ----------
        output : (n,) float32 array
            Full-scale units; the converter clips what is beyond 1.

        Returns
        -------
        (n, channels) float32 array, full-scale units.
        """
        size = output.size
        moved = self._driver.simulate(np.clip(output, -1.0, 1.0).astype(np.float64) * self._volts)
        inputs = converter_noise(self._converter_dbfs, shape=(size, self._channels), rng=self._rng)
        length = self._length(size)
        heard: dict[Signal, Complexes] = {}
        for name, history in self._history.items():
            whole = np.append(history, getattr(moved, name))
            self._history[name] = whole[size:]
            heard[name] = scipy.fft.rfft(whole, length)
        for (channel, name), taps in self._spectra[length].items():
            # What lies before the block's own part has wrapped around, and is left out.
            whole = scipy.fft.irfft(heard[name] * taps, length)
            inputs[:, channel - 1] += whole[self._history[name].size :][:size]
        if self._noise_channel and self._noise_channel <= self._channels:
            places = np.arange(self._noise_at, self._noise_at + size)
            inputs[:, self._noise_channel - 1] += self._noise.take(places, mode="wrap")
            self._noise_at = (self._noise_at + size) % self._noise.size
        inputs += hum_at(
            self._chain, channels=self._channels, at=self._at, samples=size, rate=self._rate
        )
        self._at += size
        if self._calibrator and not output.any():
            inputs[:, self._noise_channel - 1] += self._pascal * self._calibrator.hear(size)
        return np.clip(inputs, -1.0, 1.0).astype(np.float32)

    def _length(self, size: int) -> int:
        # Blocks of one length share their transforms of the taps.
        taps = max((t.size for t in self._taps.values()), default=1)
        length = scipy.fft.next_fast_len(taps + size - 1, real=True)
        if length not in self._spectra:
            self._spectra[length] = {
                key: scipy.fft.rfft(taps, length) for key, taps in self._taps.items()
            }
        return length
