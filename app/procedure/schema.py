"""The procedure file: what is played, in what geometry, what is derived and held against what."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.procedure.excitation_schema import Excitation, Series
from app.procedure.mask_schema import Mask
from hardware.toml_model import Count, FileModel, NotNegative, Positive, refusal

__all__ = [
    "Defects",
    "Excitation",
    "Geometry",
    "HighOrder",
    "LevelQuantity",
    "LimitsNamed",
    "Mask",
    "Parameters",
    "Procedure",
    "Quantities",
    "Sensitivity",
    "Series",
    "Thd",
]

Orders = Annotated[tuple[Annotated[int, Field(strict=True, ge=2, le=40)], ...], Field(min_length=1)]


class Geometry(FileModel):
    """``[geometry]``: where the microphone stands and what the level is referred to."""

    distance_m: Positive = Field(1.0, le=100, description="m, unit to microphone")
    distance_uncertainty_m: NotNegative = Field(0.0, le=10, description="m, k = 2")
    reference_distance_m: Positive = Field(
        1.0, le=100, description="m; the level is referred to it by 1/r"
    )
    mounting: Literal["baffle", "box", "near_field", "free"] = Field(
        "baffle", description="how the unit is mounted"
    )
    radiator_cm2: Positive | None = Field(
        None,
        le=20_000,
        description="cm²; near field: area of what the microphone stands in front of, a diaphragm "
        "with half of its surround or the mouth of a vent; the level is then scaled by it; left "
        "out: quantities.parameters.sd_cm2",
    )
    radiator_uncertainty_cm2: NotNegative = Field(0.0, le=20_000, description="cm², k = 2")
    radiators: Count = Field(
        1, le=100, description="near field: so many equal ones, of which one is measured"
    )
    baffle_edge_m: Positive | None = Field(
        None,
        le=100,
        description="m, shortest way from the unit's centre to the baffle's edge; the level then "
        "holds from half a wave on",
    )
    gate_ms: Positive | None = Field(
        None, ge=0.5, le=500, description="ms after the arrival; what comes later is cut"
    )
    delay_s: NotNegative | None = Field(
        None, le=1, description="s taken out of the phase; left out: found from the response"
    )


class Sensitivity(FileModel):
    """``[quantities.sensitivity]``: at single frequencies, over a band, or the whole range."""

    at_hz: Annotated[tuple[Positive, ...], Field(min_length=1)] | None = Field(
        None, description="Hz; the mean of those"
    )
    band_hz: tuple[Positive, Positive] | None = Field(
        None, description="Hz; the mean over log f; without at_hz, too: the whole valid range"
    )
    reference: Literal["2.83V", "1W"] = Field(
        "2.83V", description="what the unit is given; 1 W into nominal_ohm"
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.at_hz is not None and self.band_hz is not None:
            raise refusal("band_hz", "stands beside at_hz", allowed="one of the two, or neither")
        if self.band_hz is not None and self.band_hz[0] >= self.band_hz[1]:
            raise refusal(
                "band_hz", "does not rise", given=list(self.band_hz), allowed="[lower, higher]"
            )
        return self


class Thd(FileModel):
    """``[quantities.thd]``: total harmonic distortion."""

    orders: Orders = Field((2, 3, 4, 5), description="the harmonics that count")


class HighOrder(FileModel):
    """``[quantities.high_order]``: distortion of high order, where rub and buzz show."""

    orders: Orders = Field(tuple(range(10, 21)), description="the harmonics that count")


class LevelQuantity(FileModel):
    """``[quantities.level]``: sound pressure level over frequency."""

    smoothing_per_octave: Count | None = Field(
        None, le=96, description="n for 1/n octave; masks see what is drawn; left out: as read"
    )
    reference_v: Positive | None = Field(
        None,
        le=200,
        description="V rms across the terminals that the level is referred to; left out: the "
        "excitation's own",
    )


class Parameters(FileModel):
    """``[quantities.parameters]``: electro-mechanical parameters from the impedance."""

    le_hz: Positive = Field(1000.0, description="Hz at which the inductance is stated")
    sd_cm2: Positive | None = Field(
        None,
        le=20_000,
        description="cm², effective area, with half of the surround; with it the parameters that "
        "need a scale come from the pressure of the same take, in a baffle or a near field; left "
        "out: geometry.radiator_cm2, where one radiator is measured in its near field",
    )
    sd_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    mms_g: Positive | None = Field(
        None,
        le=100_000,
        description="g, moving mass with its air where that is known; it then gives the scale",
    )
    mms_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    mms_from: str = Field(
        "", max_length=200, description="how that mass became known; records say it beside it"
    )
    second_take: str | None = Field(
        None,
        pattern="^[0-9a-f]{4,32}$",
        description="id, or its first digits, of another take of the same unit: with added_mass_g "
        "on the cone, or in a closed box of box_l, at the same level through the same chain; it "
        "then gives the scale",
    )
    added_mass_g: Positive | None = Field(
        None, le=100_000, description="g, what was stuck on the cone in second_take"
    )
    added_mass_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")
    box_l: Positive | None = Field(
        None,
        le=100_000,
        description="l, air in the closed box of second_take, less the unit's own volume; with "
        "sd_cm2",
    )
    box_uncertainty_percent: NotNegative = Field(0.0, le=100, description="%, k = 2")

    @model_validator(mode="after")
    def _one_scale(self) -> Self:
        scales = [key for key in ("mms_g", "added_mass_g", "box_l") if getattr(self, key)]
        if len(scales) > 1:
            raise refusal(scales[1], f"stands beside {scales[0]}", allowed="one of the two")
        if self.second_take and scales in ([], ["mms_g"]):
            raise refusal("second_take", "has nothing to say", allowed="added_mass_g or box_l, too")
        return self


class Defects(FileModel):
    """``[quantities.defects]``: rub and buzz, particles, leaks."""

    retakes: int = Field(
        2,
        strict=True,
        ge=0,
        le=10,
        description="so often at most a take that was disturbed and does not conform is made again",
    )


class Quantities(FileModel):
    """``[quantities]``: how what is derived is derived; everything the chain allows is derived."""

    sensitivity: Sensitivity = Field(Sensitivity(), description="one number from the level")
    thd: Thd = Field(Thd(), description="total harmonic distortion")
    high_order: HighOrder = Field(HighOrder(), description="distortion of high order")
    level: LevelQuantity = Field(LevelQuantity(), description="sound pressure level")
    parameters: Parameters = Field(
        Parameters(), description="electro-mechanical parameters from the impedance"
    )
    defects: Defects = Field(Defects(), description="rub and buzz, particles, leaks")
    points_per_octave: Count = Field(48, le=96, description="of curves from a sweep")
    snr_db: NotNegative = Field(20.0, le=80, description="dB above noise from which a curve holds")


class LimitsNamed(FileModel):
    """``[limits]``: the revision of a limit set whose masks these are, as the store counts them."""

    set: str = Field(min_length=1, description="name of the limit set")
    revision: Count = Field(description="number of its revision")


class Procedure(FileModel):
    """A procedure file, whole."""

    name: str = Field(min_length=1, description="what people call this procedure")
    description: str = Field("", description="what it is for")
    excitation: Excitation = Field(description="what is played")
    geometry: Geometry = Field(Geometry(), description="where the microphone stands")
    quantities: Quantities = Field(Quantities(), description="what is derived, and how")
    limits: LimitsNamed | None = Field(
        None, description="the revision of a limit set whose masks these are; left out: of none"
    )
    masks: dict[str, Mask] = Field({}, description="limits, each under a name of its own")

    @model_validator(mode="after")
    def _loud_enough(self) -> Self:
        excitation = self.excitation
        if isinstance(excitation, Series) and not excitation.has_level:
            for number, part in enumerate(excitation.parts, start=1):
                if not part.has_level:
                    raise refusal(
                        "excitation.level_v_rms",
                        f"missing: neither the series nor its part {number} has a level",
                        allowed="level_v_rms or level_w",
                    )
        elif not excitation.has_level:
            raise refusal("excitation.level_v_rms", "missing", allowed="level_v_rms or level_w")
        return self

    @model_validator(mode="after")
    def _named_limits_are_there(self) -> Self:
        if self.limits is not None and not self.masks:
            raise refusal(
                "limits",
                "names a revision whose masks are not in the file",
                allowed="[masks.NAME] as dustcap limits run writes them, or no [limits]",
            )
        return self
