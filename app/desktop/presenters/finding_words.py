"""A finding as a sentence, and what to do next about it."""

from app.records.take import Finding

CANNOT_TELL = "cannot tell"
# What the operator does with the unit; everything else goes to the red rack, with its cause.
_CHAIN = "chain fault"
_NEXT = {
    "weak magnet": "Magnetise it again, then measure again.",
    "stiff suspension": "Rework: surround and spider.",
    "soft suspension": "Rework: surround and spider.",
    "moving mass off": "Rework: weigh the cone and its glue.",
    "wiring reversed": "Rework: exchange the leads at the terminals.",
    "coil rub": "Rework: centre the coil.",
    "loose joint": "Rework: find the joint that buzzes, glue it.",
    "particle in the gap": "Rework: clean the gap.",
    "air leak": "Rework: find the leak, seal it.",
    "lead slap": "Rework: dress the lead wires.",
    "wrong unit": "Compare its type with the order.",
    _CHAIN: "Check leads and microphone, then measure again.",
    CANNOT_TELL: "Have it inspected.",
}


def likely(finding: Finding) -> str:
    """Return what is probably wrong, with how sure that is."""
    if finding.cause == CANNOT_TELL:
        return "The cause cannot be told"
    return f"Likely cause: {finding.cause}, {100 * finding.confidence:.0f} % sure"


def next_step(finding: Finding) -> str:
    """Return what to do about it; for a cause of somebody's own file, what its name can tell."""
    return _NEXT.get(finding.cause, f"Rework: {finding.cause}.")


def is_of_chain(finding: Finding) -> bool:
    """Whether the station, not the unit, is to be looked after."""
    return finding.cause == _CHAIN
