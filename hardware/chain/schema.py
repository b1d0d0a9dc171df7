"""The chain file: which card, what is wired to which channel, and what each link is worth.

Uncertainties are expanded ones, k = 2, as a certificate states them. Left out, a link counts as
exact, and the record says that the interval covers noise alone.
"""

from pathlib import Path
from typing import Literal, Self

from pydantic import Field, model_validator

from hardware.chain.found_with import (
    FullScaleFoundWith,
    GainFoundWith,
    ResistorFoundWith,
    SensitivityFoundWith,
)
from hardware.chain.virtual_schema import Virtual
from hardware.toml_model import Channel, Day, FileModel, NotNegative, Positive, Real, refusal

_FROM_OUTPUT = "what the full scale was found with, where that was the output"


class Device(FileModel):
    """``[device]``: what plays and records."""

    backend: Literal["soundcard", "virtual"] = Field(
        "soundcard", description="a sound card, or the rig in software"
    )
    name: str | None = Field(
        None,
        min_length=1,
        description="card for both directions, as `dustcap devices` lists it; otherwise the "
        "only one that both plays and records",
    )
    output_name: str | None = Field(
        None, min_length=1, description="card that plays; with input_name"
    )
    input_name: str | None = Field(
        None, min_length=1, description="card that records; with output_name"
    )
    host_api: str | None = Field(
        None, min_length=1, description="driver family, as `dustcap devices` lists it"
    )
    sample_rate: int = Field(
        48_000, strict=True, ge=8_000, le=384_000, description="Hz, both directions"
    )
    block: int = Field(
        1024, strict=True, ge=0, le=65_536, description="samples a callback; 0: the driver's own"
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        for key, other in (("output_name", "input_name"), ("input_name", "output_name")):
            if getattr(self, key) is None:
                continue
            if self.name is not None:
                raise refusal(key, "stands beside name", allowed="name alone, or both directions")
            if getattr(self, other) is None:
                raise refusal(other, "missing", allowed=f"a text: {key} names one direction only")
        return self


class Calibrated(FileModel):
    """What any link may say about its calibration."""

    calibrated_on: Day | None = Field(None, description="day of the last calibration")
    recalibrate_after_days: int | None = Field(
        None,
        strict=True,
        ge=1,
        le=36_500,
        description="days after which a figure that stands on it is marked as stale",
    )

    @model_validator(mode="after")
    def _dated(self) -> Self:
        if self.recalibrate_after_days is not None and self.calibrated_on is None:
            raise refusal(
                "calibrated_on", "missing", allowed="a date: recalibrate_after_days counts from it"
            )
        return self


class Drive(Calibrated):
    """``[output.drive]``: output channel, amplifier, and what the unit may be given."""

    channel: Channel = Field(description="output channel, from 1")
    copy_channel: Channel | None = Field(
        None, description="a second output that plays the same signal, for a loopback wired there"
    )
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    amplifier_gain: Real = Field(
        1.0, description="V/V, not 0; negative where the amplifier inverts"
    )
    amplifier_gain_uncertainty_percent: NotNegative = Field(
        0.0, le=100, description="%, k = 2; without what amplifier_gain_found_with names"
    )
    max_terminal_v_rms: Positive = Field(
        description="V rms of a sine at the unit; its peak, √2 times as high, is never exceeded"
    )
    nominal_ohm: Positive | None = Field(
        None, description="ohm, rated impedance of the unit; for levels in watts"
    )
    amplifier_gain_found_with: GainFoundWith | None = Field(
        None, description="what the gain was found with"
    )

    @model_validator(mode="after")
    def _plays(self) -> Self:
        if self.amplifier_gain == 0:
            raise refusal("amplifier_gain", "zero", given=0.0, allowed="above or below 0")
        if self.copy_channel == self.channel:
            raise refusal(
                "copy_channel",
                "the driving channel itself",
                given=self.copy_channel,
                allowed=f"another than {self.channel}",
            )
        return self


class Output(FileModel):
    """``[output]``."""

    drive: Drive = Field(description="what drives the unit")


class PressureInput(Calibrated):
    """``[input.pressure]``: microphone, preamplifier and input channel."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    sensitivity_v_per_pa: Positive = Field(description="V/Pa of the microphone, at 1 kHz")
    sensitivity_uncertainty_db: NotNegative = Field(
        0.0, le=20, description="dB, k = 2; without what sensitivity_found_with names"
    )
    preamplifier_gain: Positive = Field(1.0, description="V/V between microphone and jack")
    preamplifier_gain_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    response: Path | None = Field(
        None,
        description="microphone response as CSV: Hz, dB re the sensitivity[, deg]; relative to "
        "the chain file",
    )
    response_uncertainty_db: NotNegative = Field(0.0, le=20, description="dB, k = 2")
    sensitivity_found_with: SensitivityFoundWith | None = Field(
        None, description="what the sensitivity was found with"
    )
    full_scale_found_with: FullScaleFoundWith | None = Field(None, description=_FROM_OUTPUT)


class SenseInput(Calibrated):
    """``[input.sense]``: voltage across the resistor in the return leg."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    resistor_ohm: Positive = Field(description="ohm")
    resistor_uncertainty_percent: NotNegative = Field(
        0.0, le=100, description="%, k = 2; without what resistor_found_with names"
    )
    gain: Positive = Field(1.0, description="V/V between resistor and jack")
    gain_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    lead_ohm: NotNegative = Field(
        0.0,
        le=10,
        description="ohm between the tap of the voltage and the unit; taken off the impedance",
    )
    lead_uncertainty_ohm: NotNegative = Field(0.0, le=10, description="ohm, k = 2")
    late_s: Real = Field(
        0.0,
        ge=-0.001,
        le=0.001,
        description="s by which this input lags the terminal input; undone where that is wired",
    )
    late_uncertainty_s: NotNegative = Field(0.0, le=0.001, description="s, k = 2")
    resistor_found_with: ResistorFoundWith | None = Field(
        None, description="what the resistor was found with"
    )
    full_scale_found_with: FullScaleFoundWith | None = Field(None, description=_FROM_OUTPUT)


class TerminalInput(Calibrated):
    """``[input.terminal]``: voltage across the unit; optional."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    gain: Positive = Field(1.0, description="V/V between terminals and jack")
    gain_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    full_scale_found_with: FullScaleFoundWith | None = Field(None, description=_FROM_OUTPUT)


class LoopbackInput(Calibrated):
    """``[input.loopback]``: the output jack wired back; optional."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    full_scale_found_with: FullScaleFoundWith | None = Field(None, description=_FROM_OUTPUT)


class AmbientInput(Calibrated):
    """``[input.ambient]``: a second microphone that hears the surroundings first; optional."""

    channel: Channel = Field(description="input channel, from 1")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    sensitivity_v_per_pa: Positive = Field(
        0.01, description="V/Pa, amplifier included; a rough value will do, no level is read"
    )


class Input(FileModel):
    """``[input]``: what is wired to which input; at least pressure or sense."""

    pressure: PressureInput | None = Field(None, description="measuring microphone")
    sense: SenseInput | None = Field(None, description="sense resistor, for the current")
    terminal: TerminalInput | None = Field(None, description="voltage across the unit")
    loopback: LoopbackInput | None = Field(None, description="output wired back")
    ambient: AmbientInput | None = Field(
        None, description="second microphone: what it hears besides the unit is not judged"
    )

    @property
    def wired(self) -> "dict[str, InputLink]":
        """The inputs that there are, by the name of their table."""
        each = {name: getattr(self, name) for name in type(self).model_fields}
        return {name: link for name, link in each.items() if link is not None}

    @model_validator(mode="after")
    def _apart(self) -> Self:
        if self.pressure is None and self.sense is None:
            raise refusal("", "nothing to measure with", allowed="pressure, sense, or both")
        taken: dict[int, str] = {}
        for name, link in self.wired.items():
            if (other := taken.get(link.channel)) is not None:
                raise refusal(
                    f"{name}.channel",
                    f"already taken by input.{other}",
                    given=link.channel,
                    allowed="a channel of its own",
                )
            taken[link.channel] = name
        return self


InputLink = PressureInput | SenseInput | TerminalInput | LoopbackInput | AmbientInput


class Ambient(FileModel):
    """``[ambient]``: the air in which it is measured."""

    temperature_c: Real = Field(23.0, ge=-40, le=60, description="°C")
    pressure_kpa: Positive = Field(101.325, ge=50, le=110, description="kPa, static")
    humidity_percent: NotNegative = Field(50.0, le=100, description="%, relative")


class Chain(FileModel):
    """A chain file, whole."""

    name: str = Field(min_length=1, description="what people call this chain")
    device: Device = Field(Device(), description="what plays and records")
    output: Output = Field(description="what is played on")
    input: Input = Field(description="what is recorded from")
    ambient: Ambient = Field(Ambient(), description="the air in which it is measured")
    virtual: Virtual | None = Field(None, description='the rig; for backend = "virtual" only')

    @model_validator(mode="after")
    def _one_backend(self) -> Self:
        if self.virtual is not None and self.device.backend != "virtual":
            raise refusal(
                "virtual",
                "no rig in this chain",
                given=f'backend = "{self.device.backend}"',
                allowed='backend = "virtual", or no such table',
            )
        return self
