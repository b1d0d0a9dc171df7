"""How a link of the chain fares: proved when, stale since when, not wired, lost."""

from dataclasses import dataclass
from datetime import date

from app.desktop.presenters.mark import Mark
from hardware.chain.schema import Chain
from hardware.chain.stale import due_links


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """One link's standing: a mark, words, and the one word for the folded strip."""

    mark: Mark | None
    words: str
    short: str


NOT_WIRED = Health(mark=Mark.NONE, words="not wired", short="not wired")
_NOT_PROVED = Health(mark=Mark.NONE, words="not proved", short="not proved")


def lost(at: str) -> Health:
    """Return what stands at a card that went away at a clock time."""
    return Health(mark=Mark.BAD, words=f"lost {at}", short="lost")


def refused(made: date, *, purpose: str) -> Health:
    """Return what stands at a link whose last calibration or check was refused on a day."""
    words = f"{purpose} refused {made.day} {made:%b}"
    return Health(mark=Mark.BAD, words=words, short="refused")


def settling(words: str) -> Health:
    """Return what stands at the microphone while a calibrator is heard on it."""
    return Health(mark=Mark.BUSY, words=words, short="settling")


def health(chain: Chain, table: str, *, on: date) -> Health:
    """Return how a table of the chain file, such as ``input.pressure``, fares on a day."""
    found = next((link for link in due_links(chain) if link.key == table), None)
    if found is None:
        return _NOT_PROVED
    if found.due_on is not None and on >= found.due_on:
        words = f"stale, {(on - found.due_on).days + 1} d overdue"
        return Health(mark=Mark.STALE, words=words, short="stale")
    age = (on - found.calibrated_on).days
    words = "proved today" if age <= 0 else f"proved {age} d ago"
    return Health(mark=Mark.GOOD, words=words, short="proved")
