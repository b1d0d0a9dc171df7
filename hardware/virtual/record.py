"""What every input of the rig's card records while one signal is played."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.fft

from dsp import Complexes, Floats
from hardware.card import PlayRequest, Samples
from hardware.chain.schema import Chain
from hardware.virtual.bench import Bench
from hardware.virtual.driver import Driver, Movement, joined
from hardware.virtual.noise import converter_noise, noise_spectrum
from hardware.virtual.retime import on_other_clock

_BLOCK = 8192
_RINGS_OUT_S = 0.05  # cone modes and filters, after all delays


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Streams:
    """Chance, kept apart by purpose so that one does not shift another.

    Attributes
    ----------
    defects : int
        Seed of the unit's own rattles and clicks.
    noise : Generator
        Of room, microphone and converters.
    """

    defects: int
    noise: np.random.Generator


def record(
    played: Floats,
    *,
    request: PlayRequest,
    chain: Chain,
    bench: Bench,
    streams: Streams,
    should_stop: Callable[[], bool],
) -> Samples:
    """Record while ``played`` leaves the converter.

    Parameters
    ----------
    played : (n,) array
        Full-scale units, within the ceiling.
    request : PlayRequest
        Channels and sample rate.
    chain : Chain
        What is wired where.
    bench : Bench
        What stands at the other end of the wires.
    streams : Streams
        Where chance comes from.
    should_stop : callable
        Asked for every block; True: what has been played until then is all.

    Returns
    -------
    (m, channels) float32 array, full-scale units, m below n where it was stopped.
    """
    drive = chain.output.drive
    wired = request.output_channel == drive.channel or request.copy_channel == drive.channel
    moved = _moved(
        played * (drive.full_scale_v * drive.amplifier_gain if wired else 0.0),
        driver=Driver(
            bench.unit,
            sample_rate_hz=request.sample_rate_hz,
            resistor_ohm=chain.input.sense.resistor_ohm if chain.input.sense else 0.0,
            defects=bench.defects,
            seed=streams.defects,
        ),
        should_stop=should_stop,
    )
    count = moved.source_v.size - Driver.delay_samples
    if count <= 0:
        return np.zeros((0, request.input_channels), dtype=np.float32)
    inputs = converter_noise(
        bench.rig.converter_noise_dbfs, shape=(count, request.input_channels), rng=streams.noise
    )
    lab = _Lab(moved, request=request, chain=chain, bench=bench)
    for channel, spectrum in lab.jacks(streams.noise).items():
        if channel <= request.input_channels:
            inputs[:, channel - 1] += lab.sampled(spectrum, count=count)
    return np.clip(inputs, -1.0, 1.0).astype(np.float32)


def _moved(source_v: Floats, *, driver: Driver, should_stop: Callable[[], bool]) -> Movement:
    parts: list[Movement] = []
    whole = np.append(source_v, np.zeros(driver.delay_samples))
    for start in range(0, whole.size, _BLOCK):
        if should_stop():
            break
        parts.append(driver.simulate(whole[start : start + _BLOCK]))
    return joined(parts)


class _Lab:
    """Spectra of a whole take on its way from the unit to the jacks."""

    def __init__(
        self, moved: Movement, *, request: PlayRequest, chain: Chain, bench: Bench
    ) -> None:
        self._request, self._chain, self._bench = request, chain, bench
        rig, rate = bench.rig, request.sample_rate_hz
        after_s = rig.distance_m / bench.air.speed_m_per_s + rig.reflection_delay_s + _RINGS_OUT_S
        length = moved.source_v.size + rig.latency_samples + after_s * rate
        self._length = scipy.fft.next_fast_len(int(length) + 1, real=True)
        self._hz = scipy.fft.rfftfreq(self._length, 1 / rate)
        late = (rig.latency_samples - Driver.delay_samples) / rate
        self._latency = np.exp(-2j * np.pi * self._hz * late)
        self._moved = moved

    def sampled(self, spectrum: Complexes, *, count: int) -> Floats:
        """Sample a signal with the recorder's clock.

        Parameters
        ----------
        spectrum : (m,) complex array
            Any unit.
        count : int
            How many samples.

        Returns
        -------
        (count,) array, same unit.
        """
        signal = scipy.fft.irfft(spectrum, self._length)
        return on_other_clock(signal, ppm=self._bench.rig.clock_offset_ppm, samples=count)

    def jacks(self, rng: np.random.Generator) -> dict[int, Complexes]:
        """Find what arrives at every input that is wired.

        Parameters
        ----------
        rng : Generator
            Where noise comes from.

        Returns
        -------
        dict of channel, from 1, to the spectrum there, (m,) complex, full-scale units.
        """
        wires = self._chain.input
        current, source = self._late(self._moved.current_a), self._late(self._moved.source_v)
        across = {}
        if wires.sense:
            volts = current * (wires.sense.resistor_ohm * wires.sense.gain)
            across[wires.sense.channel] = volts / wires.sense.full_scale_v
        if wires.terminal:
            drop = wires.sense.resistor_ohm if wires.sense else 0.0
            volts = (source - drop * current) * wires.terminal.gain
            across[wires.terminal.channel] = volts / wires.terminal.full_scale_v
        if wires.loopback and self._loop_plays():
            volts = source / self._chain.output.drive.amplifier_gain
            across[wires.loopback.channel] = volts / wires.loopback.full_scale_v
        if wires.pressure:
            volts = self._pressure(rng) * wires.pressure.sensitivity_v_per_pa
            volts *= wires.pressure.preamplifier_gain
            across[wires.pressure.channel] = volts / wires.pressure.full_scale_v
        return across

    def _late(self, signal: Floats) -> Complexes:
        spectrum: Complexes = scipy.fft.rfft(signal, self._length) * self._latency
        return spectrum

    def _pressure(self, rng: np.random.Generator) -> Complexes:
        # Pa at the microphone's plug: sound and room through its response, then its own noise.
        hz, bench, moved = self._hz, self._bench, self._moved
        sound = self._late(moved.acceleration_m_per_s2) * bench.heard(hz)
        if bench.defects.any:
            sound += self._late(moved.defects_pa) * bench.defects_heard(hz)
        if (room_db := bench.rig.factory_noise_db_spl) is not None:
            sound += self._noise(room_db, pink=True, rng=rng)
        sound *= bench.microphone(hz)
        if (own_db := bench.rig.noise_db_spl) is not None:
            sound += self._noise(own_db, pink=False, rng=rng)
        return sound

    def _noise(self, level_db: float, *, pink: bool, rng: np.random.Generator) -> Complexes:
        return noise_spectrum(
            level_db,
            samples=self._length,
            sample_rate_hz=self._request.sample_rate_hz,
            pink=pink,
            rng=rng,
        )

    def _loop_plays(self) -> bool:
        drive = self._chain.output.drive
        wired_from = drive.copy_channel or drive.channel
        return wired_from in {self._request.output_channel, self._request.copy_channel}
