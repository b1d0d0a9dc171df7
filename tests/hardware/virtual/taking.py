"""A chain around the rig, quiet unless said otherwise, and a take on it in physical units."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from dsp import Complexes, Floats
from hardware.card import Capture, PlayRequest
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot, ResponseTable
from hardware.virtual.card import VirtualCard

OUTPUT_V, SENSE_OHM, V_PER_PA = 10.0, 0.22, 0.05
SENSE_V, TERMINAL_V, LOOP_V = 2.0, 20.0, 20.0
SILENT: dict[str, Any] = {"noise_db_spl": None, "converter_noise_dbfs": -300.0}


def snapshot(
    response: ResponseTable | None = None, *, gain: float = 1.0, **virtual: Any
) -> ChainSnapshot:
    chain = Chain.model_validate(
        {
            "name": "rig",
            "device": {"backend": "virtual"},
            "output": {
                "drive": {
                    "channel": 1,
                    "full_scale_v": OUTPUT_V,
                    "amplifier_gain": gain,
                    "max_terminal_v_rms": 40.0,
                }
            },
            "input": {
                "pressure": {
                    "channel": 2,
                    "full_scale_v": 1.0,
                    "sensitivity_v_per_pa": V_PER_PA,
                },
                "sense": {"channel": 4, "full_scale_v": SENSE_V, "resistor_ohm": SENSE_OHM},
                "terminal": {"channel": 1, "full_scale_v": TERMINAL_V},
                "loopback": {"channel": 5, "full_scale_v": LOOP_V},
            },
            "virtual": SILENT | {"latency_samples": 0.0} | virtual,
        }
    )
    return ChainSnapshot(chain=chain, response=response)


@dataclass(frozen=True, kw_only=True)
class Taken:
    pressure_pa: Floats
    current_a: Floats
    terminal_v: Floats
    loopback_v: Floats


def request(output: Floats, *, rate: float = 48_000.0, ceiling: float = 1.0) -> PlayRequest:
    return PlayRequest(
        output=output.astype(np.float32),
        output_channel=1,
        input_channels=5,
        sample_rate_hz=rate,
        ceiling=ceiling,
    )


def capture(output: Floats, *, chain: ChainSnapshot, rate: float = 48_000.0) -> Capture:
    return VirtualCard(chain).play(
        request(output, rate=rate), on_progress=lambda _: None, should_stop=lambda: False
    )


def take(volts: Floats, *, chain: ChainSnapshot, rate: float = 48_000.0) -> Taken:
    """Play a voltage at the jack and read the channels as the chain states them."""
    raw = capture(volts / OUTPUT_V, chain=chain, rate=rate).samples.astype(np.float64)
    return Taken(
        pressure_pa=raw[:, 1] / V_PER_PA,
        current_a=raw[:, 3] * SENSE_V / SENSE_OHM,
        terminal_v=raw[:, 0] * TERMINAL_V,
        loopback_v=raw[:, 4] * LOOP_V,
    )


@dataclass(frozen=True, kw_only=True)
class Periodic:
    """A multitone of 2 Hz spacing, 1.5 s: by its last period everything has settled."""

    volts: Floats
    rate: float
    lines: slice

    @property
    def frequency_hz(self) -> Floats:
        hz: Floats = np.arange(self.volts.size / 3 // 2 + 1.0)[self.lines] * 2.0
        return hz

    def phasors(self, signal: Floats) -> Complexes:
        """Peak amplitudes at the lines, of the last but the fade at the very end."""
        period = self.volts.size // 3
        last = signal[-period - self.fade : -self.fade]
        spectrum: Complexes = np.fft.rfft(last)[self.lines] * (2 / period)
        # The window starts a fade earlier than a whole number of periods.
        turned: Complexes = spectrum * np.exp(
            2j * np.pi * self.frequency_hz * self.fade / self.rate
        )
        return turned

    @property
    def fade(self) -> int:
        return int(0.02 * self.rate)


def multitone(*, rate: float = 48_000.0, v_rms: float = 0.5) -> Periodic:
    period = round(rate / 2)
    rng = np.random.default_rng(5)
    lines = slice(10, 10_001)  # 20 Hz to 20 kHz
    spectrum = np.zeros(period // 2 + 1, dtype=np.complex128)
    count = lines.stop - lines.start
    spectrum[lines] = np.exp(2j * np.pi * rng.random(count))
    one = np.fft.irfft(spectrum, period)
    return Periodic(volts=np.tile(one * (v_rms / np.std(one)), 3), rate=rate, lines=lines)


def tone(
    frequency_hz: float, *, v_rms: float, duration_s: float = 1.2, rate: float = 48_000.0
) -> Floats:
    n = np.arange(round(duration_s * rate))
    volts: Floats = np.sqrt(2) * v_rms * np.sin(2 * np.pi * frequency_hz / rate * n)
    return volts


def orders(signal: Floats, *, frequency_hz: float, count: int, rate: float = 48_000.0) -> Floats:
    """Magnitudes rms of orders 1 to count over the second from 0.15 s; whole Hz only."""
    second = signal[round(0.15 * rate) :][: round(rate)]
    lines = np.abs(np.fft.rfft(second)) * (np.sqrt(2) / second.size)
    found: Floats = lines[round(frequency_hz) * np.arange(1, count + 1)]
    return found
