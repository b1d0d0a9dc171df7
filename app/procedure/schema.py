"""The procedure file: what is played, in what geometry, what is derived and held against what."""

from typing import Annotated, Literal

from pydantic import Field

from hardware.toml_model import Count, FileModel, NotNegative, Positive, Real

Point = tuple[Positive, Real]
Orders = tuple[Annotated[int, Field(strict=True, ge=2, le=40)], ...]


class Level(FileModel):
    """How strong an excitation is; volts, or watts into the chain's nominal impedance."""

    level_v_rms: Positive | None = Field(None, le=200, description="V rms at the terminals")
    level_w: Positive | None = Field(None, le=2000, description="W into nominal_ohm")


class LogSweep(Level):
    """``kind = "log_sweep"``."""

    kind: Literal["log_sweep"]
    start_hz: Positive = Field(10.0, description="Hz; an octave below what is to be read")
    stop_hz: Positive = Field(20_000.0, description="Hz, above start_hz, below half the rate")
    duration_s: Positive = Field(1.0, ge=0.05, le=120, description="s from start_hz to stop_hz")
    repeat: Count = Field(1, le=100, description="takes averaged")


class Zone(FileModel):
    """One stretch of a stepped sine with a resolution of its own."""

    from_hz: Positive
    to_hz: Positive
    per_octave: Count = Field(le=96, description="points an octave")


class SteppedSine(Level):
    """``kind = "stepped_sine"``."""

    kind: Literal["stepped_sine"]
    zones: tuple[Zone, ...] = Field(min_length=1)
    settle_periods: NotNegative = Field(1.0, le=1000)
    settle_s: NotNegative = Field(0.02, le=10, description="s; the longer of the two holds")
    hold_periods: Positive = Field(5.0, ge=2, le=10_000)
    hold_s: NotNegative = Field(0.02, le=60, description="s; the longer of the two holds")
    repeat: Count = Field(1, le=100)


class Tones(Level):
    """``kind = "tones"``: a few long tones, one after the other."""

    kind: Literal["tones"]
    hz: tuple[Positive, ...] = Field(min_length=1, max_length=200)
    dwell_s: Positive = Field(0.5, ge=0.05, le=120, description="s each; the first 60 ms settle")
    repeat: Count = Field(1, le=100)


class Noise(Level):
    """``kind = "noise"``: Gaussian noise, band limited."""

    kind: Literal["noise"]
    colour: Literal["pink", "white"] = "pink"
    start_hz: Positive = 20.0
    stop_hz: Positive = 20_000.0
    duration_s: Positive = Field(4.0, ge=0.1, le=600)
    seed: int = Field(1, strict=True, ge=0)
    crest_db: Positive = Field(12.0, ge=6, le=20, description="dB; peaks are held to this")
    repeat: Count = Field(1, le=100)


class Multitone(Level):
    """``kind = "multitone"``: many sines at once, phases chosen for a low crest factor."""

    kind: Literal["multitone"]
    start_hz: Positive = 20.0
    stop_hz: Positive = 20_000.0
    per_octave: Count = Field(6, le=48)
    duration_s: Positive = Field(2.0, ge=0.2, le=600)
    seed: int = Field(1, strict=True, ge=0)
    repeat: Count = Field(1, le=100)


class File(Level):
    """``kind = "file"``: one channel of an audio file at the chain's sample rate."""

    kind: Literal["file"]
    path: str = Field(description="relative to the procedure file")
    channel: Count = 1
    start_hz: Positive = 20.0
    stop_hz: Positive = 20_000.0
    repeat: Count = Field(1, le=100)


Single = Annotated[
    LogSweep | SteppedSine | Tones | Noise | Multitone | File, Field(discriminator="kind")
]


class Series(FileModel):
    """``kind = "series"``: several parts in one capture; its level holds where a part has none."""

    kind: Literal["series"]
    parts: tuple[Single, ...] = Field(min_length=1, max_length=20)
    level_v_rms: Positive | None = Field(None, le=200)
    level_w: Positive | None = Field(None, le=2000)
    repeat: Count = Field(1, le=100)


Excitation = Annotated[
    LogSweep | SteppedSine | Tones | Noise | Multitone | File | Series,
    Field(discriminator="kind"),
]


class Geometry(FileModel):
    """``[geometry]``: where the microphone stands and what the level is referred to."""

    distance_m: Positive = Field(1.0, le=100, description="m, unit to microphone")
    distance_uncertainty_m: NotNegative = Field(0.0, description="m, k = 2")
    reference_distance_m: Positive = Field(1.0, le=100, description="m, referred to by 1/r")
    mounting: Literal["baffle", "box", "near_field", "free"] = "baffle"
    gate_ms: Positive | None = Field(
        None, ge=0.5, le=500, description="ms after the arrival; what comes later is cut"
    )
    delay_s: NotNegative | None = Field(
        None, le=1, description="s taken out of the phase; otherwise found from the response"
    )


class Sensitivity(FileModel):
    """``[quantities.sensitivity]``."""

    at_hz: tuple[Positive, ...] | None = Field(None, min_length=1, description="Hz; mean of those")
    band_hz: tuple[Positive, Positive] | None = Field(None, description="Hz; mean over log f")
    reference: Literal["2.83V", "1W"] = "2.83V"


class Thd(FileModel):
    """``[quantities.thd]``."""

    orders: Orders = (2, 3, 4, 5)


class HighOrder(FileModel):
    """``[quantities.high_order]``."""

    orders: Orders = tuple(range(10, 21))


class LevelQuantity(FileModel):
    """``[quantities.level]``."""

    smoothing_per_octave: Count | None = Field(None, le=96, description="1/n octave; none: as read")


class Quantities(FileModel):
    """``[quantities]``: how what is derived is derived; everything the chain allows is derived."""

    sensitivity: Sensitivity = Sensitivity()
    thd: Thd = Thd()
    high_order: HighOrder = HighOrder()
    level: LevelQuantity = LevelQuantity()
    points_per_octave: Count = Field(48, le=96, description="of curves from a sweep")
    snr_db: NotNegative = Field(20.0, le=80, description="dB above noise from which a curve holds")


class Mask(FileModel):
    """``[masks.NAME]``: upper and/or lower limit of one quantity."""

    quantity: str = Field(min_length=1)
    upper: tuple[Point, ...] | Real | None = None
    lower: tuple[Point, ...] | Real | None = None
    relative_to: Literal["reference"] | None = None
    align: Literal["level"] | None = None
    align_band_hz: tuple[Positive, Positive] | None = Field(
        None, description="Hz, over which the level is aligned; otherwise the mask's own span"
    )
    guard: NotNegative = Field(0.0, le=2, description="times the expanded uncertainty")


class Procedure(FileModel):
    """A procedure file, whole."""

    name: str = Field(min_length=1)
    description: str = ""
    excitation: Excitation
    geometry: Geometry = Geometry()
    quantities: Quantities = Quantities()
    masks: dict[str, Mask] = Field(default_factory=dict)
