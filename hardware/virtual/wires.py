"""What arrives at every input jack for each thing that the driver does, and how loud noise is."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import scipy.fft

from dsp import Complexes, Floats
from hardware.chain.schema import Chain
from hardware.virtual.bench import Bench
from hardware.virtual.in_truth import truth_of
from hardware.virtual.noise import noise_spectrum

_UNIT_IN_HALL = 0.1  # how much of the unit's sound the second microphone hears: 20 dB less

Signal = Literal["acceleration_m_per_s2", "current_a", "source_v", "defects_pa"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Wires:
    """Transfer functions from ``Movement`` to the jacks, converters' latency aside.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, from 0.
    paths : dict of channel to dict of signal to (m,) complex array
        Full-scale units at the input channel, counted from 1, for one unit of the signal.
    """

    frequency_hz: Floats
    paths: dict[int, dict[Signal, Complexes]]


def wires(chain: Chain, *, bench: Bench, frequency_hz: Floats) -> Wires:
    """Follow every wire of a chain.

    Parameters
    ----------
    chain : Chain
        What is wired where.
    bench : Bench
        What the microphone hears.
    frequency_hz : (m,) array
        Hz, from 0.

    Returns
    -------
    Wires; of the four signals each channel names those that it hears.
    """
    inputs, flat = chain.input, np.ones(frequency_hz.shape, dtype=np.complex128)
    paths: dict[int, dict[Signal, Complexes]] = {}
    resistor = inputs.sense.resistor_ohm if inputs.sense else 0.0
    if inputs.sense:
        scale = inputs.sense.gain / inputs.sense.full_scale_v
        paths[inputs.sense.channel] = {"current_a": flat * (resistor * scale)}
    if inputs.terminal:
        scale = inputs.terminal.gain / inputs.terminal.full_scale_v
        paths[inputs.terminal.channel] = {
            "source_v": flat * scale,
            "current_a": flat * (-resistor * scale),
        }
    if inputs.loopback:
        scale = 1 / (chain.output.drive.amplifier_gain * inputs.loopback.full_scale_v)
        paths[inputs.loopback.channel] = {"source_v": flat * scale}
    _spoil_sense(paths, chain=chain, frequency_hz=frequency_hz)
    if inputs.pressure:
        plug = bench.microphone(frequency_hz) * per_pascal(chain)
        paths[inputs.pressure.channel] = {
            "acceleration_m_per_s2": bench.heard(frequency_hz) * plug,
            "defects_pa": bench.defects_heard(frequency_hz) * plug,
        }
    if inputs.ambient:
        plug = flat * (_UNIT_IN_HALL * inputs.ambient.sensitivity_v_per_pa)
        plug /= inputs.ambient.full_scale_v
        paths[inputs.ambient.channel] = {
            "acceleration_m_per_s2": bench.heard(frequency_hz) * plug,
            "defects_pa": bench.defects_heard(frequency_hz) * plug,
        }
    return Wires(frequency_hz=frequency_hz, paths=paths)


def _spoil_sense(
    paths: dict[int, dict[Signal, Complexes]], *, chain: Chain, frequency_hz: Floats
) -> None:
    # What the terminals' input holds leaks into the sense input, which then comes late.
    sense, terminal, truth = chain.input.sense, chain.input.terminal, truth_of(chain)
    if sense is None:
        return
    own = paths[sense.channel]
    if terminal is not None and truth.terminal_into_sense_db is not None:
        leak = 10 ** (truth.terminal_into_sense_db / 20)
        leak *= terminal.full_scale_v / sense.full_scale_v
        for name, gain in paths[terminal.channel].items():
            own[name] = own.get(name, 0.0) + leak * gain
    if truth.sense_late_samples:
        late_s = truth.sense_late_samples / chain.device.sample_rate
        late = np.exp(-2j * np.pi * frequency_hz * late_s)
        for name, gain in own.items():
            own[name] = gain * late


def microphone_noise(
    chain: Chain,
    *,
    bench: Bench,
    samples: int,
    sample_rate_hz: float,
    rng: np.random.Generator,
) -> Complexes:
    """Draw what the microphone's channel records of the room and of the microphone's own noise.

    The room is heard through the microphone's response, its own noise is not.

    Parameters
    ----------
    chain : Chain
        Sensitivity and gains.
    bench : Bench
        Levels, and the microphone's response.
    samples : int
        Length of the signal.
    sample_rate_hz : float
        Hz.
    rng : Generator
        Where it comes from.

    Returns
    -------
    (samples // 2 + 1,) complex array for ``irfft``, full-scale units.
    """
    hz: Floats = np.fft.rfftfreq(samples, 1 / sample_rate_hz).astype(np.float64)
    total = np.zeros(hz.size, dtype=np.complex128)
    for level_db, pink in (
        (bench.rig.factory_noise_db_spl, True),
        (bench.rig.noise_db_spl, False),
    ):
        if level_db is not None:
            noise = noise_spectrum(
                level_db, samples=samples, sample_rate_hz=sample_rate_hz, pink=pink, rng=rng
            )
            total += noise * bench.microphone(hz) if pink else noise
    spectrum: Complexes = total * per_pascal(chain)
    return spectrum


def hall_noise(
    bench: Bench, *, samples: int, sample_rate_hz: float, rng: np.random.Generator
) -> Floats:
    """Draw the noise that the second microphone hears: as loud as at the first, not the same.

    Parameters
    ----------
    bench : Bench
        Levels.
    samples : int
        Length.
    sample_rate_hz : float
        Hz.
    rng : Generator
        Where it comes from.

    Returns
    -------
    (samples,) array, Pa.
    """
    total = np.zeros(samples // 2 + 1, dtype=np.complex128)
    for level_db, pink in (
        (bench.rig.factory_noise_db_spl, True),
        (bench.rig.noise_db_spl, False),
    ):
        if level_db is not None:
            total += noise_spectrum(
                level_db, samples=samples, sample_rate_hz=sample_rate_hz, pink=pink, rng=rng
            )
    out: Floats = scipy.fft.irfft(total, samples)
    return out


def per_pascal(chain: Chain) -> float:
    """Tell what a pascal becomes at the microphone's input channel.

    Parameters
    ----------
    chain : Chain
        Gains, and the sensitivity that the microphone has in truth.

    Returns
    -------
    float, full-scale units; 0 without a microphone.
    """
    link = chain.input.pressure
    if link is None:
        return 0.0
    truth = chain.virtual.microphone_v_per_pa if chain.virtual else None
    v_per_pa = link.sensitivity_v_per_pa if truth is None else truth
    return v_per_pa * link.preamplifier_gain / link.full_scale_v
