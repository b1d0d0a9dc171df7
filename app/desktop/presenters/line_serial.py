"""What a scanner or a person puts into the serial field: completed, or refused in one line."""

import unicodedata
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

_LONGEST = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class SerialHint:
    """What all serials of late begin with, and how many digits follow it.

    A person then types the digits alone; a scanner's whole serial is taken as it is.
    """

    prefix: str = ""
    digits: int = 0

    def shows_for(self, typed: str) -> bool:
        """Whether what is typed so far may be the digits alone."""
        if not self.prefix or len(typed) > self.digits:
            return False
        return not typed or (typed.isascii() and typed.isdigit())


def hint_of(serial: str | None) -> SerialHint:
    """Take the hint from a serial such as T4-W31-0418; none from one without digits at its end."""
    if not serial:
        return SerialHint()
    prefix = serial.rstrip("0123456789")
    digits = len(serial) - len(prefix)
    return SerialHint(prefix=prefix, digits=digits) if digits and prefix else SerialHint()


def hint_of_lot(serials: Iterable[str | None]) -> SerialHint:
    """Take the hint that most of the last serials give; the newest one's where none leads."""
    hints = Counter(hint_of(serial) for serial in serials)
    hints.pop(SerialHint(), None)
    return hints.most_common(1)[0][0] if hints else SerialHint()


def completed(typed: str, *, hint: SerialHint) -> str:
    """Return the serial that was meant: digits alone get the prefix if none is missing."""
    typed = typed.strip()
    whole = len(typed) == hint.digits and bool(typed)
    return hint.prefix + typed if whole and hint.shows_for(typed) else typed


def why_refused(serial: str) -> str:
    """Say why a text cannot be a serial; empty where it can."""
    if not serial:
        return "Nothing was read. Scan the unit, or type its serial."
    if len(serial) > _LONGEST:
        return f"Too long: given {len(serial)} characters, allowed 1 to {_LONGEST}."
    for character in serial:
        if unicodedata.category(character).startswith("C"):
            name = f"U+{ord(character):04X}"
            return f"Not a character of a serial: given {name}, allowed letters, digits and signs."
    return ""


def why_doubted(serial: str, *, hint: SerialHint, lot: str | None) -> str:
    """Say that a unit does not look like one of the lot; empty where it does.

    A second scan of the same serial measures it all the same: a reference unit has another name.
    """
    if lot is None or not hint.prefix or serial.startswith(hint.prefix):
        return ""
    return (
        f"Not as lot {lot}: given {serial}, units of it begin with {hint.prefix}. "
        "Change the lot, or scan it again to measure it."
    )


def while_stale(serial: str, *, called: str) -> str:
    """Say that nothing is measured with a chain past its term."""
    return f"{serial or 'The key'} was not used: the {called} is stale. Prove it in Chain first."


def while_measuring(serial: str, *, measured: str | None) -> str:
    """Say that a scan came too early."""
    busy = measured or "a unit"
    read = f"{serial} was not used" if serial else "the key was not used"
    return f"{busy} is being measured; {read}. Scan it after the verdict."
