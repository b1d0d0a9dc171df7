"""``[virtual]``: the rig in software, in truth, with its faults, and the hall about it."""

from typing import Literal, Self

from pydantic import Field, model_validator

from hardware.toml_model import FileModel, Flag, NotNegative, Positive, Real, refusal


class Faults(FileModel):
    """``[virtual.faults]``: severity of each fault, 0 (none) to 1."""

    weak_magnet: NotNegative = Field(0.0, le=1, description="flux lost")
    stiff_suspension: NotNegative = Field(0.0, le=1, description="compliance lost")
    soft_suspension: NotNegative = Field(0.0, le=1, description="stiffness lost")
    wrong_mass: Real = Field(0.0, ge=-1, le=1, description="moving mass off; negative: too light")
    wiring_reversed: Flag = Field(default=False, description="terminals exchanged")
    coil_rub: NotNegative = Field(0.0, le=1, description="voice coil touches the pole")
    lead_slap: NotNegative = Field(0.0, le=1, description="lead wire strikes the cone")
    loose_joint: NotNegative = Field(0.0, le=1, description="glue joint that buzzes")
    particle: NotNegative = Field(0.0, le=1, description="loose particle in the gap")
    air_leak: NotNegative = Field(0.0, le=1, description="air that hisses through a leak")


class Calibrator(FileModel):
    """``[virtual.calibrator]``: what sits on the microphone while nothing is played; optional."""

    kind: Literal["pistonphone", "sound calibrator"] = Field(
        "sound calibrator", description="a pistonphone's level follows the static pressure"
    )
    level_db: Real = Field(
        94.0, ge=60, le=140, description="dB SPL that it gives in truth, at 101.325 kPa"
    )
    frequency_hz: Positive = Field(1000.0, ge=20, le=20_000, description="Hz, in truth")
    rise_s: NotNegative = Field(0.2, le=10, description="s, time constant of its start")
    scatter_db: NotNegative = Field(
        0.0, le=1, description="dB, standard deviation from one coupling to the next"
    )
    leak_db: NotNegative = Field(0.0, le=40, description="dB lost through a leak of the coupler")
    drift_db_per_s: Real = Field(0.0, ge=-10, le=10, description="dB/s; negative: it sinks")
    wander_db: NotNegative = Field(
        0.0, le=10, description="dB by which the level comes and goes, to either side"
    )
    distortion_percent: NotNegative = Field(0.0, le=100, description="%, second harmonic")
    hum_db_spl: Real | None = Field(
        None, ge=-100, le=140, description="dB SPL that hum of the mains amounts to"
    )
    mains_hz: Literal[50, 60] = Field(50, description="Hz")


class Truth(FileModel):
    """``[virtual.truth]``: what the links are, whatever the chain states; what calibrations find.

    Left out, a link is what the chain states, and the wires are perfect.
    """

    output_full_scale_v: Positive | None = Field(None, description="V peak for digital 1.0")
    amplifier_gain: Real | None = Field(None, description="V/V; negative where it inverts")
    pressure_full_scale_v: Positive | None = Field(None, description="V peak for digital 1.0")
    sense_full_scale_v: Positive | None = Field(None, description="V peak for digital 1.0")
    terminal_full_scale_v: Positive | None = Field(None, description="V peak for digital 1.0")
    loopback_full_scale_v: Positive | None = Field(None, description="V peak for digital 1.0")
    resistor_ohm: Positive | None = Field(None, description="ohm, the sense resistor")
    lead_ohm: NotNegative = Field(0.0, le=10, description="ohm between the tap and the unit")
    terminal_into_sense_db: Real | None = Field(
        None, ge=-300, le=0, description="dB, crosstalk of jacks, V/V; left out: none"
    )
    sense_late_samples: Real = Field(
        0.0, ge=-10, le=10, description="samples by which the sense input is late"
    )
    hum_v: NotNegative = Field(0.0, le=10, description="V rms of mains hum at each input jack")
    mains_hz: Literal[50, 60] = Field(50, description="Hz")

    @model_validator(mode="after")
    def _amplifies(self) -> Self:
        if self.amplifier_gain == 0:
            raise refusal("amplifier_gain", "zero", given=0.0, allowed="above or below 0")
        return self


class VirtualMeter(FileModel):
    """``[virtual.voltmeter]``: a voltmeter to read the rig's jacks with; optional."""

    off_percent: Real = Field(0.0, ge=-50, le=50, description="% that it shows too much, in truth")
    resolution_v: NotNegative = Field(0.001, le=1, description="V, a step of its last digit")


class Virtual(FileModel):
    """``[virtual]``: the rig in software; for backend = "virtual" only."""

    unit: str = Field("T130", min_length=1, description="a unit that ships with the rig, by name")
    seed: int = Field(1, strict=True, ge=0, description="repeats noise and spread exactly")
    spread: NotNegative = Field(
        0.0, le=3, description="production spread: 0 none, 1 that of an ordinary lot"
    )
    linear: Flag = Field(default=False, description="true: the small-signal unit, no distortion")
    noise_db_spl: Real | None = Field(
        25.0, ge=-100, le=140, description="dB SPL at the microphone; 20 Hz to half the rate"
    )
    factory_noise_db_spl: Real | None = Field(
        None, ge=-100, le=140, description="dB SPL, pink, at the microphone; left out: none"
    )
    clanks_per_s: NotNegative = Field(
        0.0, le=20, description="impulses of a factory: how often something falls, at random"
    )
    clank_pa: Positive = Field(
        0.05, le=20, description="Pa, their median peak at the microphone; each rings 2 to 15 ms"
    )
    converter_noise_dbfs: Real = Field(
        -110.0, ge=-300, le=0, description="dB re full-scale sine, each input"
    )
    clock_offset_ppm: Real = Field(
        0.0, ge=-2000, le=2000, description="by how much the recorder's clock is fast"
    )
    latency_samples: NotNegative = Field(480.0, le=48_000, description="samples, both converters")
    distance_m: Positive = Field(1.0, ge=0.01, le=20, description="m, unit to microphone")
    reflection: NotNegative = Field(
        0.0, lt=1, description="amplitude of one reflection re the direct sound"
    )
    reflection_delay_s: NotNegative = Field(0.005, le=0.1, description="s after the direct sound")
    real_time: Flag = Field(default=False, description="true: take as long as a card would")
    microphone_v_per_pa: Positive | None = Field(
        None, description="V/Pa of the microphone in truth; left out: what the chain states"
    )
    load_ohm: NotNegative | None = Field(
        None,
        le=1e9,
        description="ohm of a resistor in the unit's place; 0: a short; left out: the unit",
    )
    truth: Truth = Field(Truth(), description="what the links are in truth")
    faults: Faults = Field(Faults(), description="what is wrong with the unit")
    voltmeter: VirtualMeter = Field(VirtualMeter(), description="what jacks are read with")
    calibrator: Calibrator | None = Field(
        None, description="sits on the microphone while nothing is played"
    )
