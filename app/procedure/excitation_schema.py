"""``[excitation]``: the signals that a procedure may play, one model a kind."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from hardware.toml_model import Count, FileModel, NotNegative, Positive, refusal


class Level(FileModel):
    """How strong an excitation is; volts, or watts into the chain's nominal impedance."""

    level_v_rms: Positive | None = Field(
        None,
        le=200,
        description="V rms at the terminals; a sine's peak is √2 times as high",
    )
    level_w: Positive | None = Field(None, le=2000, description="W into the chain's nominal_ohm")
    repeat: Count = Field(1, le=100, description="played so often, and averaged")

    @property
    def has_level(self) -> bool:
        """Whether it says how strong it is."""
        return self.level_v_rms is not None or self.level_w is not None

    @model_validator(mode="after")
    def _one_level(self) -> Self:
        if self.level_v_rms is not None and self.level_w is not None:
            raise refusal("level_w", "stands beside level_v_rms", allowed="one of the two")
        return self


class Band(Level):
    """What has a span in frequency."""

    start_hz: Positive = Field(20.0, description="Hz, lower end")
    stop_hz: Positive = Field(
        20_000.0, description="Hz, upper end; above start_hz, below half the chain's rate"
    )

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.stop_hz <= self.start_hz:
            raise refusal(
                "stop_hz",
                "not above start_hz",
                given=self.stop_hz,
                allowed=f"above {self.start_hz:g}",
            )
        return self


class LogSweep(Band):
    """``kind = "log_sweep"``: a sine that rises evenly over log f."""

    kind: Literal["log_sweep"]
    start_hz: Positive = Field(10.0, description="Hz; best an octave below what is to be read")
    duration_s: Positive = Field(1.0, ge=0.05, le=120, description="s from start_hz to stop_hz")


class Zone(FileModel):
    """One stretch of a stepped sine with a resolution of its own; downward spares the unit."""

    from_hz: Positive = Field(description="Hz, first point")
    to_hz: Positive = Field(description="Hz, last point")
    per_octave: Count = Field(le=96, description="points an octave")

    @model_validator(mode="after")
    def _stretches(self) -> Self:
        if self.from_hz == self.to_hz:
            raise refusal(
                "to_hz", "equals from_hz", given=self.to_hz, allowed="above or below from_hz"
            )
        return self


class SteppedSine(Level):
    """``kind = "stepped_sine"``: steady sines, point by point."""

    kind: Literal["stepped_sine"]
    zones: tuple[Zone, ...] = Field(min_length=1, max_length=50, description="in playing order")
    settle_periods: NotNegative = Field(
        1.0, le=1000, description="periods before a point is read; the longer of this and settle_s"
    )
    settle_s: NotNegative = Field(
        0.02, le=10, description="s before a point is read; the longer of this and settle_periods"
    )
    hold_periods: Positive = Field(
        3.0, ge=2, le=10_000, description="periods that are read; the longer of this and hold_s"
    )
    hold_s: NotNegative = Field(
        0.01, le=60, description="s that are read; the longer of this and hold_periods"
    )


class Tones(Level):
    """``kind = "tones"``: a few long tones, one after the other."""

    kind: Literal["tones"]
    hz: tuple[Positive, ...] = Field(
        min_length=1, max_length=200, description="Hz, in playing order"
    )
    dwell_s: Positive = Field(0.5, ge=0.05, le=120, description="s each; the first 60 ms settle")


class Noise(Band):
    """``kind = "noise"``: Gaussian noise, band limited."""

    kind: Literal["noise"]
    colour: Literal["pink", "white"] = Field("pink", description="equal power an octave, or an Hz")
    duration_s: Positive = Field(4.0, ge=0.1, le=600, description="s")
    seed: int = Field(1, strict=True, ge=0, description="the same seed gives the same noise")
    crest_db: Positive = Field(12.0, ge=6, le=20, description="dB peak over rms; held to this")


class Multitone(Band):
    """``kind = "multitone"``: many sines at once, phases chosen for a low crest factor."""

    kind: Literal["multitone"]
    per_octave: Count = Field(6, le=48, description="lines an octave")
    duration_s: Positive = Field(2.0, ge=0.2, le=600, description="s")
    seed: int = Field(1, strict=True, ge=0, description="the same seed gives the same phases")


class TwoTones(Band):
    """``kind = "two_tones"``: two sines at once, for modulation and difference frequencies."""

    kind: Literal["two_tones"]
    start_hz: Positive = Field(60.0, description="Hz, lower tone")
    stop_hz: Positive = Field(7000.0, description="Hz, higher tone; below half the chain's rate")
    ratio: Positive = Field(
        4.0,
        ge=0.01,
        le=100,
        description="amplitude of the lower over that of the higher: 4 for modulation distortion, "
        "1 for difference-frequency distortion",
    )
    duration_s: Positive = Field(2.0, ge=0.75, le=600, description="s")


class File(Band):
    """``kind = "file"``: one channel of an audio file at the chain's sample rate."""

    kind: Literal["file"]
    path: str = Field(min_length=1, description="audio file, relative to the procedure file")
    channel: Count = Field(1, le=256, description="channel of the file, from 1")

    @property
    def audio_name(self) -> str:
        """What its samples are kept under: the path as written, and the channel where not 1."""
        return self.path if self.channel == 1 else f"{self.path}#{self.channel}"


Single = Annotated[
    LogSweep | SteppedSine | Tones | Noise | Multitone | TwoTones | File,
    Field(discriminator="kind"),
]


class Series(Level):
    """``kind = "series"``: several parts in one capture; its level holds where a part has none."""

    kind: Literal["series"]
    parts: tuple[Single, ...] = Field(min_length=1, max_length=20, description="in playing order")


Excitation = Annotated[
    LogSweep | SteppedSine | Tones | Noise | Multitone | TwoTones | File | Series,
    Field(discriminator="kind"),
]
