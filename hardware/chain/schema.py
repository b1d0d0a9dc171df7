"""The chain file: which card, what is wired to which channel, and what each link is worth.

Uncertainties are expanded ones, k = 2, as a certificate states them. Left out, a link counts as
exact, and the record says that the interval covers noise alone.
"""

from datetime import date
from pathlib import Path
from typing import Literal

from pydantic import Field

from hardware.toml_model import Channel, FileModel, NotNegative, Positive, Real


class Device(FileModel):
    """``[device]``: what plays and records."""

    backend: Literal["soundcard", "virtual"] = "soundcard"
    name: str | None = Field(None, description="card for both directions, as `devices` lists it")
    output_name: str | None = Field(None, description="card that plays; with input_name")
    input_name: str | None = Field(None, description="card that records; with output_name")
    host_api: str | None = Field(None, description="driver family, as `devices` lists it")
    sample_rate: int = Field(48_000, strict=True, ge=8_000, le=384_000, description="Hz")
    block: int = Field(1024, strict=True, ge=0, le=65_536, description="samples; 0: driver's own")


class Calibrated(FileModel):
    """What any link may say about its calibration."""

    calibrated_on: date | None = Field(None, description="day of the last calibration")
    recalibrate_after_days: int | None = Field(
        None, strict=True, ge=1, description="days after which a figure that stands on it is stale"
    )


class Drive(Calibrated):
    """``[output.drive]``: output channel, amplifier, and what the unit may be given."""

    channel: Channel = Field(description="output channel, from 1")
    copy_channel: Channel | None = Field(None, description="output that plays the same signal")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    amplifier_gain: Real = Field(1.0, description="V/V; negative where the amplifier inverts")
    amplifier_gain_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    max_terminal_v_rms: Positive = Field(
        description="V rms of a sine; its peak, √2 times as high, is never exceeded"
    )
    nominal_ohm: Positive | None = Field(None, description="ohm, rated impedance of the unit")


class Output(FileModel):
    """``[output]``."""

    drive: Drive


class PressureInput(Calibrated):
    """``[input.pressure]``: microphone, preamplifier and input channel."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    sensitivity_v_per_pa: Positive = Field(description="V/Pa of the microphone, at 1 kHz")
    sensitivity_uncertainty_db: NotNegative = Field(0.0, description="dB, k = 2")
    preamplifier_gain: Positive = Field(1.0, description="V/V")
    preamplifier_gain_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    response: Path | None = Field(
        None, description="CSV: Hz, dB re the sensitivity[, deg]; relative to the chain file"
    )
    response_uncertainty_db: NotNegative = Field(0.0, description="dB, k = 2")


class SenseInput(Calibrated):
    """``[input.sense]``: voltage across the resistor in the return leg."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    resistor_ohm: Positive = Field(description="ohm")
    resistor_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    gain: Positive = Field(1.0, description="V/V between resistor and jack")
    gain_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")


class TerminalInput(Calibrated):
    """``[input.terminal]``: voltage across the unit; optional."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")
    gain: Positive = Field(1.0, description="V/V between terminals and jack")
    gain_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")


class LoopbackInput(Calibrated):
    """``[input.loopback]``: the output jack wired back; optional."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, description="%, k = 2")


class Input(FileModel):
    """``[input]``: what is wired to which input."""

    pressure: PressureInput | None = None
    sense: SenseInput | None = None
    terminal: TerminalInput | None = None
    loopback: LoopbackInput | None = None


class Ambient(FileModel):
    """``[ambient]``: the air in which it is measured."""

    temperature_c: Real = Field(23.0, ge=-40, le=60, description="°C")
    pressure_kpa: Positive = Field(101.325, ge=50, le=110, description="kPa, static")
    humidity_percent: NotNegative = Field(50.0, le=100, description="%, relative")


class Faults(FileModel):
    """``[virtual.faults]``: severity of each fault, 0 (none) to 1."""

    weak_magnet: NotNegative = Field(0.0, le=1)
    stiff_suspension: NotNegative = Field(0.0, le=1)
    soft_suspension: NotNegative = Field(0.0, le=1)
    wrong_mass: Real = Field(0.0, ge=-1, le=1, description="negative: too light")
    wiring_reversed: bool = False
    coil_rub: NotNegative = Field(0.0, le=1)
    lead_slap: NotNegative = Field(0.0, le=1)
    loose_joint: NotNegative = Field(0.0, le=1)
    particle: NotNegative = Field(0.0, le=1)
    air_leak: NotNegative = Field(0.0, le=1)


class Virtual(FileModel):
    """``[virtual]``: the rig in software; for backend = "virtual" only."""

    unit: str = Field("T130", description="a unit that ships with the rig, by name")
    seed: int = Field(1, strict=True, ge=0, description="repeats noise and spread exactly")
    spread: NotNegative = Field(0.0, le=3, description="production spread, 1 = an ordinary lot")
    linear: bool = Field(default=False, description="true: the small-signal unit, no distortion")
    noise_db_spl: Real | None = Field(25.0, description="dB SPL at the microphone; 20 Hz to fs/2")
    factory_noise_db_spl: Real | None = Field(None, description="dB SPL, pink, at the microphone")
    converter_noise_dbfs: Real = Field(-110.0, le=0, description="dB re full-scale sine")
    clock_offset_ppm: Real = Field(0.0, ge=-2000, le=2000, description="recorder over player")
    latency_samples: NotNegative = Field(480.0, le=48_000, description="samples, both converters")
    distance_m: Positive = Field(1.0, ge=0.01, le=20, description="m, unit to microphone")
    reflection: NotNegative = Field(0.0, lt=1, description="amplitude re direct sound at 1 m path")
    reflection_delay_s: NotNegative = Field(0.005, le=0.1, description="s after the direct sound")
    real_time: bool = Field(default=False, description="true: take as long as a card would")
    faults: Faults = Faults()


class Chain(FileModel):
    """A chain file, whole."""

    name: str = Field(min_length=1)
    device: Device = Device()
    output: Output
    input: Input
    ambient: Ambient = Ambient()
    virtual: Virtual | None = None
