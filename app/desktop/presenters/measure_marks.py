"""Which figures of a take are marked wherever they appear: stale, or not to be trusted."""

import re
from collections.abc import Mapping

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_stale import (
    ELECTRICAL,
    PRESSURE,
    StaleLink,
    figures_on,
    resting_on,
)
from app.records.take import Take
from hardware.chain.schema import Chain

_HARMONICS = frozenset(
    {"thd", "high_order", "rub_buzz", "rub_buzz_db", *(f"h{n}" for n in range(2, 21))}
)
_HEARD = PRESSURE | _HARMONICS | {"level_phase", "delay_s", "polarity", "impulse_count"}
_FELT = ELECTRICAL | {"impedance_phase"}
# What an input that clipped, or was lost, takes with it; unlike a stale one ratios, too.
_SPOILT: Mapping[str, frozenset[str]] = {
    "pressure": _HEARD,
    "sense": _FELT,
    "terminal": _HEARD | _FELT,
    "loopback": frozenset({"delay_s"}),
}
# As the record words it.
_GRAVE = re.compile(r"input\.(?P<input>\w+) (?:clipped|was lost)\b")
_REFUSED = re.compile(r"(?P<link>(?:input|output)\.\w+): .* was refused\b")


def figure_marks(take: Take, *, stale: tuple[StaleLink, ...]) -> dict[str, Mark]:
    """Return the mark of each figure that has one, by its name in the record.

    Parameters
    ----------
    take : Take
        Its warnings tell what clipped, what was lost, and which link's proof was refused.
    stale : tuple of StaleLink
        Links that were past their term when it was made.
    """
    marks = dict.fromkeys(figures_on(stale), Mark.STALE)
    for sentence in take.warnings:
        marks |= dict.fromkeys(_in_doubt(sentence, chain=take.chain.chain), Mark.CAUTION)
    return marks


def _in_doubt(sentence: str, *, chain: Chain) -> frozenset[str]:
    if (found := _GRAVE.match(sentence)) is not None:
        return _SPOILT.get(found["input"], frozenset())
    if (found := _REFUSED.match(sentence)) is not None:
        return resting_on(found["link"], chain=chain)
    return frozenset()
