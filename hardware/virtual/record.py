"""What every input of the rig's card records while one signal is played."""

from collections.abc import Callable

import numpy as np
import scipy.fft

from dsp import Floats
from hardware.card import PlayRequest, Samples
from hardware.chain.schema import Chain
from hardware.virtual.bench import Bench
from hardware.virtual.calibrator import CalibratorSound
from hardware.virtual.chance import Chance
from hardware.virtual.clanks import clanks, heard_first
from hardware.virtual.driver import Movement, at_rest, joined
from hardware.virtual.hum import hum_at
from hardware.virtual.load import Load, load_of
from hardware.virtual.noise import converter_noise
from hardware.virtual.rate import band_edge
from hardware.virtual.retime import on_other_clock
from hardware.virtual.wires import hall_noise, microphone_noise, per_pascal, wires

_BLOCK = 8192
_RINGS_OUT_S = 0.05  # cone modes and filters, after all delays


def record(
    played: Floats,
    *,
    request: PlayRequest,
    chain: Chain,
    bench: Bench,
    chance: Chance,
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
    chance : Chance
        Of this take.
    should_stop : callable
        Asked for every block; True: what has been played until then is all.

    Returns
    -------
    (m, channels) float32 array, full-scale units, m below n where it was stopped.
    """
    rate, driver = (
        request.sample_rate_hz,
        load_of(bench, chain=chain, sample_rate_hz=request.sample_rate_hz, seed=chance.defects),
    )
    drive = chain.output.drive
    volts = drive.full_scale_v * drive.amplifier_gain if _plays(drive.channel, request) else 0.0
    moved = _moved(played * volts, driver=driver, should_stop=should_stop)
    count = moved.source_v.size - driver.delay_samples
    if count <= 0:
        return np.zeros((0, request.input_channels), dtype=np.float32)
    rig = bench.rig
    after_s = rig.distance_m / bench.air.speed_m_per_s + rig.reflection_delay_s + _RINGS_OUT_S
    least = int(moved.source_v.size + rig.latency_samples + after_s * rate) + 1
    length = scipy.fft.next_fast_len(least, real=True)
    hz = scipy.fft.rfftfreq(length, 1 / rate)
    late = np.exp(-2j * np.pi * hz * ((rig.latency_samples - driver.delay_samples) / rate))
    late *= band_edge(hz / rate)
    inputs = converter_noise(
        rig.converter_noise_dbfs, shape=(count, request.input_channels), rng=chance.noise
    )
    for channel, path in wires(chain, bench=bench, frequency_hz=hz).paths.items():
        if channel > request.input_channels or not _wired(channel, chain, request):
            continue
        spectrum = np.zeros(hz.size, dtype=np.complex128)
        for name, gain in path.items():
            spectrum += scipy.fft.rfft(getattr(moved, name), length) * gain
        spectrum *= late
        if chain.input.pressure and channel == chain.input.pressure.channel:
            spectrum += microphone_noise(
                chain, bench=bench, samples=length, sample_rate_hz=rate, rng=chance.noise
            )
        signal = scipy.fft.irfft(spectrum, length)
        inputs[:, channel - 1] += on_other_clock(signal, ppm=rig.clock_offset_ppm, samples=count)
    inputs += hum_at(chain, channels=request.input_channels, at=0, samples=count, rate=rate)
    _hear_hall(inputs, request=request, chain=chain, bench=bench, chance=chance)
    _put_on_calibrator(inputs, request=request, chain=chain, bench=bench, chance=chance)
    return np.clip(inputs, -1.0, 1.0).astype(np.float32)


def _moved(source_v: Floats, *, driver: Load, should_stop: Callable[[], bool]) -> Movement:
    if not source_v.any():  # minutes of listening: nothing moves, so nothing is integrated
        return at_rest(source_v.size + driver.delay_samples)
    parts: list[Movement] = []
    whole = np.append(source_v, np.zeros(driver.delay_samples))
    for start in range(0, whole.size, _BLOCK):
        if should_stop():
            break
        parts.append(driver.simulate(whole[start : start + _BLOCK]))
    return joined(parts)


def _hear_hall(
    inputs: Floats, *, request: PlayRequest, chain: Chain, bench: Bench, chance: Chance
) -> None:
    # What falls, at both microphones, and the hall's noise at the second one.
    rig, count, rate = bench.rig, inputs.shape[0], request.sample_rate_hz
    ambient = chain.input.ambient
    falls = np.zeros(count)
    if rig.clanks_per_s > 0:
        falls = clanks(rig, samples=count, sample_rate_hz=rate, rng=chance.hall)
        link = chain.input.pressure
        if link is not None and link.channel <= inputs.shape[1]:
            inputs[:, link.channel - 1] += per_pascal(chain) * falls
    if ambient is not None and ambient.channel <= inputs.shape[1]:
        heard = heard_first(falls, sample_rate_hz=rate, air=bench.air)
        heard += hall_noise(bench, samples=count, sample_rate_hz=rate, rng=chance.hall)
        scale = ambient.sensitivity_v_per_pa / ambient.full_scale_v
        inputs[:, ambient.channel - 1] += scale * heard


def _put_on_calibrator(
    inputs: Floats, *, request: PlayRequest, chain: Chain, bench: Bench, chance: Chance
) -> None:
    # Nobody sits through a sweep with a calibrator on the microphone: it is there in silence only.
    link, calibrator = chain.input.pressure, bench.rig.calibrator
    if calibrator is None or link is None or link.channel > inputs.shape[1] or request.output.any():
        return
    sound = CalibratorSound(
        calibrator,
        chain=chain,
        bench=bench,
        sample_rate_hz=request.sample_rate_hz,
        rng=chance.noise,
    )
    inputs[:, link.channel - 1] += per_pascal(chain) * sound.hear(inputs.shape[0])


def _plays(channel: int, request: PlayRequest) -> bool:
    return channel in {request.output_channel, request.copy_channel}


def _wired(channel: int, chain: Chain, request: PlayRequest) -> bool:
    # A loopback is wired from the copy where the chain has one: silent if that does not play.
    loop, drive = chain.input.loopback, chain.output.drive
    is_loop = loop is not None and channel == loop.channel
    return not is_loop or _plays(drive.copy_channel or drive.channel, request)
