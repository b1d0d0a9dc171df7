"""Which links of a take's chain were past their term, and which of its figures stand on them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from hardware.chain.schema import Chain
from hardware.chain.stale import due_links

# Ratios of the microphone to itself, and what only tells a time or a sign, stand on no value.
PRESSURE: frozenset[str] = frozenset({"level", "noise", "sensitivity_db", "eta0_percent"})
ELECTRICAL: frozenset[str] = frozenset(
    {
        *("impedance", "re_ohm", "qms", "qes", "qts", "fs_hz", "vas_l", "mms_g"),
        *("cms_mm_per_n", "rms_kg_per_s", "bl_tm", "le_mh", "eta0_percent"),
    }
)
_STAND_ON: Mapping[str, frozenset[str]] = {
    "output.drive": PRESSURE | ELECTRICAL,
    "input.pressure": PRESSURE,
    "input.sense": ELECTRICAL,
    "input.terminal": PRESSURE | ELECTRICAL,
    "input.loopback": frozenset(),
    "input.ambient": frozenset(),
}
_CALLED: Mapping[str, str] = {
    "output.drive": "amplifier",
    "input.pressure": "microphone",
    "input.sense": "sense resistor",
    "input.terminal": "terminal input",
    "input.loopback": "loopback",
    "input.ambient": "second microphone",
}
PAST_TERM = "past its term"  # how the record words a stale calibration
_REFUSED = re.compile(
    r"(?P<table>[\w.]+): (?P<what>calibration|check) of (?P<why>[\d-]+ was refused(?:: .*)?)"
)
# As the bay Chain names what it shows.
_LINK: Mapping[str, str] = {
    "output.drive": "amplifier",
    "input.pressure": "microphone",
    "input.sense": "sense",
    "input.terminal": "terminal",
    "input.loopback": "loopback",
    "input.ambient": "ambient",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StaleLink:
    """One link past its term.

    Attributes
    ----------
    link : str
        As the bay Chain names it.
    called : str
        As a sentence calls it, without an article.
    past_days : int
        d past the term.
    age_days : int
        d since it was calibrated.
    quantities : frozenset of str
        Curves and numbers that stand on it.
    """

    link: str
    called: str
    past_days: int
    age_days: int
    quantities: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedLink:
    """A link whose last calibration or check was refused when a take was made.

    Attributes
    ----------
    link, called : str
        As the bay Chain names it; as a sentence calls it.
    what : str
        ``calibration`` or ``check``.
    why : str
        The rest of the sentence: its day, and the reason.
    """

    link: str
    called: str
    what: str
    why: str


def refused_in(warnings: Sequence[str]) -> tuple[RefusedLink, ...]:
    """Return the links that a take's warnings tell to have been refused, in their order."""
    found = []
    for sentence in warnings:
        said = _REFUSED.fullmatch(sentence)
        if said is not None and said["table"] in _LINK:
            found.append(
                RefusedLink(
                    link=_LINK[said["table"]],
                    called=_CALLED[said["table"]],
                    what=said["what"],
                    why=said["why"],
                )
            )
    return tuple(found)


def is_stale(warnings: Sequence[str]) -> bool:
    """Tell whether a take's warnings tell of a calibration past its term."""
    return any(PAST_TERM in sentence for sentence in warnings)


def stale_on(chain: Chain, *, on: date) -> tuple[StaleLink, ...]:
    """Return the links that were past their term on a day, the longest past first."""
    found = [
        StaleLink(
            link=_LINK[one.key],
            called=_CALLED[one.key],
            past_days=(on - one.due_on).days + 1,
            age_days=(on - one.calibrated_on).days,
            quantities=resting_on(one.key, chain=chain),
        )
        for one in due_links(chain)
        if one.due_on is not None and on >= one.due_on
    ]
    return tuple(sorted(found, key=lambda link: -link.past_days))


def figures_on(links: tuple[StaleLink, ...]) -> frozenset[str]:
    """Return the names of all figures that stand on any of some links."""
    return frozenset().union(*(link.quantities for link in links))


def resting_on(key: str, *, chain: Chain) -> frozenset[str]:
    """Return the figures that stand on the value of a link, by its table in the chain file."""
    if key == "output.drive" and chain.input.terminal is not None:
        return frozenset()  # the voltage across the unit is measured then
    return _STAND_ON.get(key, frozenset())
