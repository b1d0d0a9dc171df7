"""The signature file: what is looked at in a unit, and how each cause of a failure shows in it."""

from collections.abc import Iterable
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.procedure.names import CURVES, NUMBERS
from hardware.toml_model import FileModel, NotNegative, Positive, Real, refusal

Name = Annotated[str, Field(min_length=1, max_length=60)]
Probability = Annotated[float, Field(strict=True, ge=0, le=1)]
Band = tuple[Positive, Positive]


class Figure(FileModel):
    """``[figures.NAME]``: one figure that is read off curves, for traits to use like a number."""

    curves: dict[str, Real] = Field(
        min_length=1,
        description="curves, each with the power to which it goes into a product; one in dB counts "
        "as its ratio; the figure is the product's geometric mean over log f",
    )
    band_fs: Band = Field(
        description="[lower, higher], multiples of the unit's own resonance; what holds of it "
        "counts, at least half of it over log f"
    )

    @model_validator(mode="after")
    def _of_curves(self) -> Self:
        positive = [name for name, unit in CURVES.items() if unit != "deg"]
        _known(self.curves, known=positive, key="curves")
        _rises(self.band_fs, key="band_fs")
        return self


class Trait(FileModel):
    """``[traits.NAME]``: a figure that varies from unit to unit, taken relative to the usual."""

    numbers: dict[str, Real] = Field(
        {},
        description="numbers of a take, or figures of this file, each with the power to which it "
        "goes into a product; the trait is that product over the usual one, in percent; a number "
        "in dB counts as its ratio",
    )
    curve: str | None = Field(
        None, description="a curve in dB instead; the trait is its mean over band_hz, in dB"
    )
    band_hz: Band | None = Field(None, description="[Hz, Hz]; of the curve, mean over log f")
    less_band_hz: Band | None = Field(
        None, description="[Hz, Hz]; the mean over this band is taken off; left out: nothing is"
    )
    spread: Positive = Field(
        description="% or dB; standard deviation of an ordinary lot, counted as ten units until "
        "the lot itself tells more"
    )
    shown: dict[str, Name] = Field(
        {},
        description="numbers whose own distance from the usual is told along, each with its word",
    )
    unless: tuple[Name, ...] = Field(
        (), description="traits that say the same better; where they could be read, this is not"
    )

    @property
    def unit(self) -> str:
        """Percent for a product of numbers, dB for a curve."""
        return "dB" if self.curve else "%"

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if bool(self.numbers) == (self.curve is not None):
            raise refusal("numbers", "not one source", allowed="numbers, or curve with band_hz")
        _known(self.shown, known=NUMBERS, key="shown")
        if self.curve is not None:
            _known([self.curve], known=CURVES, key="curve")
            if self.band_hz is None:
                raise refusal("band_hz", "missing", allowed="[lower, higher], Hz")
        for key in ("band_hz", "less_band_hz"):
            _rises(getattr(self, key), key=key)
        return self


class Sign(FileModel):
    """``[signs.NAME]``: something that is there or not."""

    number: str | None = Field(None, description="a number of a take")
    curve: str | None = Field(None, description="a curve instead")
    band_hz: Band | None = Field(None, description="[Hz, Hz]; of the curve; its median counts")
    nowhere: bool = Field(
        default=False, strict=True, description="true: there where the curve holds nowhere"
    )
    above: Real | None = Field(None, description="there above this, in the number's own unit")
    below: Real | None = Field(None, description="there below this, in the number's own unit")
    over_usual: Positive | None = Field(
        None, description="there from so much above the usual, and from four spreads"
    )
    times_usual: Positive | None = Field(
        None, description="there where it is so many times the usual, or below 1 so small a part"
    )
    spread: Positive = Field(
        1.0, description="standard deviation of an ordinary lot, as with traits; own unit"
    )
    only_with: Name | None = Field(
        None, description="a sign without which this one means nothing and is not looked at"
    )
    told_by: Literal["tones", "sweep"] | None = Field(
        None,
        description="tones: looked at only where long tones tell of irregular defects; sweep: only "
        "where a sweep alone does; left out: always",
    )
    alone: bool = Field(
        default=False,
        strict=True,
        description="true: where it is there, no trait is looked at, for none means anything then",
    )
    says: str = Field(min_length=1, description="in words, what is then there")
    says_not: str = Field("", description="in words, where it is not; left out: not worth telling")

    @model_validator(mode="after")
    def _one_test(self) -> Self:
        if (self.number is None) == (self.curve is None):
            raise refusal("number", "not one source", allowed="number, or curve")
        if self.number is not None:
            _known([self.number], known=NUMBERS, key="number")
        if self.curve is not None:
            _known([self.curve], known=CURVES, key="curve")
        _rises(self.band_hz, key="band_hz")
        limits = (self.above, self.below, self.over_usual, self.times_usual, self.nowhere or None)
        if sum(limit is not None for limit in limits) != 1:
            raise refusal(
                "above", "not one limit", allowed="above, below, over_usual, times_usual or nowhere"
            )
        return self


class Signature(FileModel):
    """``[causes.NAME]``: one way in which a cause shows."""

    cause: Name | None = Field(
        None, description="what a person is told; left out: the name of the table"
    )
    weight: Positive = Field(
        1.0, le=1e6, description="how often it comes before anything is known, re the others"
    )
    severity: tuple[Positive, Positive] = Field(
        (1.0, 100.0), description="[least, largest]; one unit of it moves the traits by shifts"
    )
    shifts: dict[str, Real] = Field(
        {}, description="by trait, % or dB for one unit of severity; those left out do not move"
    )
    tolerance: NotNegative = Field(
        0.2, le=10, description="standard deviation of every shift, as a part of it"
    )
    scatter: NotNegative = Field(
        0.0, le=1000, description="spreads by which every trait may lie anywhere besides"
    )
    astray: Annotated[float, Field(strict=True, gt=0, lt=1)] = Field(
        0.001,
        description="probability of each trait to lie anywhere within 30 spreads for a reason of "
        "its own, above 0, below 1",
    )
    alone: bool = Field(
        default=False, strict=True, description="true: no second cause is true beside it"
    )
    signs: dict[str, Probability] = Field(
        {}, description="probability of each sign, 0 to 1; those left out: see others"
    )
    others: Probability | None = Field(
        None, description="probability of the signs left out; left out: as often as [ordinary]"
    )

    @model_validator(mode="after")
    def _grows(self) -> Self:
        if self.severity[0] > self.severity[1]:
            raise refusal(
                "severity", "falls", given=list(self.severity), allowed="[least, largest]"
            )
        return self


class Signatures(FileModel):
    """A signature file, whole."""

    together: Annotated[float, Field(strict=True, ge=0, lt=1)] = Field(
        0.03, description="probability that of a faulty unit a second cause is true as well"
    )
    figures: dict[str, Figure] = Field({}, description="figures read off curves")
    traits: dict[str, Trait] = Field(min_length=1, description="figures that vary")
    signs: dict[str, Sign] = Field({}, description="what is there or not")
    ordinary: Signature = Field(
        Signature(), description="``[ordinary]``: a good unit; its signs are what it may show"
    )
    causes: dict[str, Signature] = Field(min_length=1, description="what may be wrong")

    @model_validator(mode="after")
    def _names_what_there_is(self) -> Self:
        for name, trait in self.traits.items():
            known = (*NUMBERS, *self.figures)
            _known(trait.numbers, known=known, key=f"traits.{name}.numbers")
            _known(trait.unless, known=self.traits, key=f"traits.{name}.unless")
        for name, sign in self.signs.items():
            with_what = [sign.only_with] if sign.only_with else []
            _known(with_what, known=self.signs, key=f"signs.{name}.only_with")
        tables = {"ordinary": self.ordinary}
        tables |= {f"causes.{name}": one for name, one in self.causes.items()}
        for place, one in tables.items():
            _known(one.shifts, known=self.traits, key=f"{place}.shifts")
            _known(one.signs, known=self.signs, key=f"{place}.signs")
        return self


def _known(given: Iterable[str], *, known: Iterable[str], key: str) -> None:
    there = tuple(known)
    for name in given:
        if name not in there:
            raise refusal(key, "no such name", given=name, allowed=", ".join(there))


def _rises(band: Band | None, *, key: str) -> None:
    if band is not None and band[0] >= band[1]:
        raise refusal(key, "does not rise", given=list(band), allowed="[lower, higher]")
