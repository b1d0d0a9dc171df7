"""What the chain strip shows, frozen: seven links, the wire through them, and the way back."""

from dataclasses import dataclass
from enum import Enum

from app.desktop.presenters.mark import Mark

LINKS = ("output", "amplifier", "sense", "unit", "microphone", "preamplifier", "input")


class Wire(Enum):
    """What runs from a link to the next."""

    SILENT = "silent"
    PLAYING = "playing"
    CUT = "cut"  # the card is gone
    AIR = "air"
    SOUND = "sound"  # air, while a take plays
    NONE = "none"  # one end of it is not there


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """What stands on the wire after a link.

    Attributes
    ----------
    text, most : str
        Value now, and the most that it may be or how much is left.
    fill, tick : float or None
        Of 60 dB below the most, 0 to 1: now, and the peak held; None: no bar.
    over : bool
        Whether it went too far at any moment since the take began.
    """

    text: str = ""
    most: str = ""
    fill: float | None = None
    tick: float | None = None
    over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkState:
    """One tile: what it is, what it is worth, how it fares.

    Attributes
    ----------
    key : str
        One of ``LINKS``.
    name, value, health : str
        Lines of the tile; ``value`` is what it is calibrated to.
    short_name : str
        The same as ``name`` where a tile is too narrow for it.
    short : str
        ``health`` in one word, for the folded strip.
    mark : Mark or None
        Stands before ``health``.
    is_there : bool
        Whether the chain has such a link.
    wire : Wire
        What runs from here to the next link.
    live : Live
        What stands on that wire.
    """

    key: str
    name: str
    short_name: str
    value: str
    health: str
    short: str
    mark: Mark | None
    is_there: bool = True
    wire: Wire = Wire.SILENT
    live: Live = Live()

    @property
    def is_lost(self) -> bool:
        """Whether it went away with the card."""
        return self.wire is Wire.CUT

    @property
    def spoken(self) -> str:
        """The tile in words, for those who do not see it."""
        return ", ".join(part for part in (self.name, self.value, self.health) if part)

    @property
    def spoken_level(self) -> str:
        """What stands on its wire, in words: it changes all the time, so it is told when asked."""
        return " ".join(part for part in (self.live.text, self.live.most) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class PathState:
    """A measured voltage on its own way to the card, over the top of the strip."""

    key: str  # the link at which it begins
    label: str
    is_there: bool = True
    over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StripState:
    """The strip, whole.

    ``is_sounding`` says whether sound is out, so that Stop is what a person may want now.
    """

    links: tuple[LinkState, ...]
    paths: tuple[PathState, ...] = ()
    is_sounding: bool = False

    def without_levels(self) -> tuple[object, ...]:
        """Return everything that stands still while a take plays; equal: repaint the wire only."""
        still = tuple(
            (link.key, link.name, link.value, link.health, link.mark, link.is_there, link.wire)
            for link in self.links
        )
        return (still, self.is_sounding)
