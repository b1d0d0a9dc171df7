"""What is known of one unit: how far its figures lie from the usual, and what is heard of it."""

from dataclasses import dataclass, field

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class Trait:
    """A figure that varies from unit to unit, as its distance from the usual.

    Attributes
    ----------
    name : str
        As signatures call it.
    deviation : float
        In percent (100 times the natural logarithm of the ratio) or dB, positive above the usual.
    spread : float
        Standard deviation of good units about the usual, same unit, uncertainty included; above 0.
    said : str
        The same in words.
    said_usual : str
        What is said where it lies as usual, and that tells one cause from another.

    Raises
    ------
    DspError
        A spread that is not above 0.
    """

    name: str
    deviation: float
    spread: float
    said: str = ""
    said_usual: str = ""

    def __post_init__(self) -> None:
        if not self.spread > 0:
            raise DspError("Trait", f"spread of {self.name}", given=self.spread, allowed="above 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """Something that is there or not, such as clicks or a reversed polarity.

    Attributes
    ----------
    name : str
        As signatures call it.
    present : float
        0 (surely not) to 1 (surely): between them where noise leaves it open.
    said : str
        What is there, in words.
    said_absent : str
        The same where it is not; empty where that is not worth saying.

    Raises
    ------
    DspError
        Not between 0 and 1.
    """

    name: str
    present: float
    said: str = ""
    said_absent: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.present <= 1:
            raise DspError("Sign", self.name, given=self.present, allowed="0 to 1")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Evidence:
    """Everything that speaks; what could not be read is left out.

    Attributes
    ----------
    traits : tuple of Trait
        n of them.
    correlation : (n, n) array
        Of the traits' deviations from one good unit to the next; independent where none is given.
    signs : tuple of Sign
        What is there or not.

    Raises
    ------
    DspError
        A correlation that is not n by n.
    """

    traits: tuple[Trait, ...] = ()
    correlation: Floats = field(default_factory=lambda: np.empty((0, 0)))
    signs: tuple[Sign, ...] = ()

    def __post_init__(self) -> None:
        count = len(self.traits)
        given = self.correlation if self.correlation.size else np.eye(count)
        if given.shape != (count, count):
            raise DspError("Evidence", "correlation", given=given.shape, allowed=(count, count))
        object.__setattr__(self, "correlation", read_only(given))
