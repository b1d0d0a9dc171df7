"""A finding as a sentence, and what to do next about it."""

from app.records.take import Finding

CANNOT_TELL = "cannot tell"
_REWORK = "Rework: "
# What the operator does with the unit; everything else goes to the red rack, with its cause.
_CHAIN, _WRONG = "chain fault", "wrong unit"
_NEXT = {
    "weak magnet": "Magnetise it again, then measure again.",
    "stiff suspension": f"{_REWORK}look at surround and spider.",
    "soft suspension": f"{_REWORK}look at surround and spider.",
    "moving mass off": f"{_REWORK}weigh the cone and its glue.",
    "wiring reversed": f"{_REWORK}exchange the leads at the terminals.",
    "coil rub": f"{_REWORK}centre the coil.",
    "loose joint": f"{_REWORK}find the joint that buzzes, glue it.",
    "particle in the gap": f"{_REWORK}clean the gap.",
    "air leak": f"{_REWORK}find the leak, seal it.",
    "lead slap": f"{_REWORK}dress the lead wires.",
    _WRONG: "Compare its type with the order.",
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
    return _NEXT.get(finding.cause, f"{_REWORK}{finding.cause}.")


def bare_step(finding: Finding) -> str:
    """Return the same as it stands behind ``Next:``."""
    if finding.cause not in _NEXT:
        return f"look for {finding.cause}."
    step = next_step(finding).removeprefix(_REWORK)
    return f"{step[:1].lower()}{step[1:]}"


def first_reason(finding: Finding) -> str:
    """Return what speaks for it most, as a sentence; empty where nothing is told."""
    if not finding.because:
        return ""
    reason = finding.because[0].rstrip(".")
    return f"{reason[:1].upper()}{reason[1:]}."


def is_wrong_unit(finding: Finding) -> bool:
    """Whether the unit may be a good one of another type."""
    return finding.cause == _WRONG


def is_of_chain(finding: Finding) -> bool:
    """Whether the station, not the unit, is to be looked after."""
    return finding.cause == _CHAIN
