"""``[masks.NAME]``: the limits of one quantity, in a procedure or in a draft limit set."""

import difflib
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from app.procedure.names import CURVES, NUMBERS
from dsp import DspError
from dsp.conformity.mask import MaskLines
from hardware.toml_complaint import shown
from hardware.toml_model import FileModel, NotNegative, Positive, Real, refusal

Point = tuple[Positive, Real]
Points = Annotated[tuple[Point, ...], Field(min_length=1)]


def _form(value: object) -> str:
    return "array" if isinstance(value, list | tuple) else "number"


# Told apart by their form, so that an error speaks of the one that was meant.
Limit = Annotated[
    Annotated[Points, Tag("array")] | Annotated[Real, Tag("number")], Discriminator(_form)
]


class Mask(FileModel):
    """``[masks.NAME]``: upper and/or lower limit of one quantity."""

    quantity: str = Field(description="name of a curve or number")
    upper: Limit | None = Field(
        None,
        description="in the quantity's unit: [[Hz, value], …], straight over log f between the "
        "points and no limit beyond them; or one value for all",
    )
    lower: Limit | None = Field(None, description="likewise")
    relative_to: Literal["reference"] | None = Field(
        None, description="limits count from the reference unit's last take"
    )
    align: Literal["level"] | None = Field(
        None, description="the mean difference is taken out first: shape is judged, not level"
    )
    align_band_hz: tuple[Positive, Positive] | None = Field(
        None, description="Hz, over which the level is aligned; otherwise the mask's own span"
    )
    guard: NotNegative = Field(
        0.0,
        le=2,
        description="times the expanded uncertainty; nearer to a limit: not decided",
    )

    @model_validator(mode="after")
    def _judges_a_known_quantity(self) -> Self:
        known = [*CURVES, *NUMBERS]
        if self.quantity not in known:
            nearest = max(
                known, key=lambda one: difflib.SequenceMatcher(None, self.quantity, one).ratio()
            )
            raise refusal(
                "quantity",
                "unknown quantity",
                given=shown(self.quantity),
                allowed=f'a curve or number; nearest known "{nearest}"',
            )
        if self.upper is None and self.lower is None:
            raise refusal("", "no limit", allowed="upper, lower, or both")
        if self.quantity in NUMBERS:
            self._refuse_curves_ways()
        return self

    @model_validator(mode="after")
    def _lines_hold(self) -> Self:
        for side in ("upper", "lower"):
            line = getattr(self, side)
            points = line if isinstance(line, tuple) else ()
            for number, (before, point) in enumerate(pairwise(points), start=2):
                if point[0] <= before[0]:
                    raise refusal(
                        side,
                        f"point {number} does not rise in frequency",
                        given=f"{point[0]:g} Hz",
                        allowed=f"above {before[0]:g} Hz",
                    )
        try:
            MaskLines(upper=self.upper, lower=self.lower)
        except DspError as error:
            raise refusal("lower", error.what, given=error.given, allowed=error.allowed) from error
        return self

    @model_validator(mode="after")
    def _aligns_over_a_band(self) -> Self:
        if self.align_band_hz is None:
            return self
        low, high = self.align_band_hz
        if self.align is None:
            raise refusal("align_band_hz", "nothing is aligned", allowed='with align = "level"')
        if low >= high:
            raise refusal(
                "align_band_hz", "does not rise", given=[low, high], allowed="[lower, higher]"
            )
        return self

    def _refuse_curves_ways(self) -> None:
        for side in ("upper", "lower"):
            if isinstance(getattr(self, side), tuple):
                raise refusal(
                    side,
                    f"{self.quantity} is a number, not a curve",
                    given="points over frequency",
                    allowed="one value",
                )
        if self.align is not None:
            raise refusal(
                "align", f"{self.quantity} is a number, not a curve", given=shown(self.align)
            )
