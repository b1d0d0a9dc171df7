"""The study of findings as a person reads it."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from app.measure.findings import CANNOT_TELL
from tests.benchmarks.population.findings_lines import ORDINARY
from tests.benchmarks.population.findings_study import (
    AT,
    TWO_AT,
    FindingsStudy,
    Said,
    told_first,
)
from tests.benchmarks.population.specimen import CHAIN, IRREGULAR, REGULAR

_BINS = (0.0, 0.5, 0.7, 0.85, 0.95, 1.0001)


def findings_tables(study: FindingsStudy) -> str:
    """Lay out every table."""
    return "\n\n".join([_confusion(study), _lines(study), _sureness(study), _two(study)])


def _confusion(study: FindingsStudy) -> str:
    lines = [f"What is said first of a unit with one fault of severity {AT:g}, {ORDINARY.called}"]
    at = [one for one in study.one_fault if one.line == ORDINARY and one.specimen.severity == AT]
    for kind in (*IRREGULAR, *REGULAR, *CHAIN):
        own = [one for one in at if one.specimen.kind == kind]
        lines.append(_row(kind, [_share(own), _others(own)]))
    return "\n".join([*lines, _row("all", [_share(at)])])


def _lines(study: FindingsStudy) -> str:
    lines = [
        "Cause named first, line by line; good units of which something is said",
        _row("", [f"severity {AT:g}", "0.05 to 0.4", "said a wrong cause", "good units"]),
    ]
    for silence in study.good:
        own = [one for one in study.one_fault if one.line == silence.line]
        at = [one for one in own if one.specimen.severity == AT]
        drawn = [one for one in own if one.specimen.severity != AT]
        wrong = [one for one in own if not one.right and one.findings[0].cause != CANNOT_TELL]
        cells = [_share(at), _share(drawn), f"{len(wrong)} of {len(own)}"]
        lines.append(_row(silence.line.called, [*cells, f"{silence.told} of {silence.units}"]))
    return "\n".join(lines)


def _sureness(study: FindingsStudy) -> str:
    lines = ["Stated confidence of a cause named first, and how often it was right, all lines"]
    named = [one for one in study.one_fault if one.findings[0].cause != CANNOT_TELL]
    stated = np.array([one.findings[0].confidence for one in named])
    right = np.array([one.right for one in named])
    for low, high in pairwise(_BINS):
        inside = (stated >= low) & (stated < high)
        if inside.any():
            cells = [
                f"stated {100 * float(stated[inside].mean()):.0f} %",
                f"right {100 * float(right[inside].mean()):.0f} %",
                f"{int(inside.sum())} units",
            ]
            lines.append(_row(f"{100 * low:.0f} to {100 * min(high, 1):.0f} %", cells))
    return "\n".join(lines)


def _two(study: FindingsStudy) -> str:
    lines = [f"Two faults of severity {TWO_AT:g} at once, {ORDINARY.called}: both said first"]
    pairs: dict[str, list[Said]] = {}
    for one in study.two_faults:
        pairs.setdefault(f"{one.specimen.kind} + {one.specimen.second}", []).append(one)
    for name, own in (*pairs.items(), ("all", study.two_faults)):
        both = sum(one.both for one in own)
        lines.append(_row(name, [f"{both} of {len(own)}"], width=42))
    return "\n".join(lines)


def _share(said: Sequence[Said]) -> str:
    right = sum(one.right for one in said)
    return f"{right} of {len(said)}  {100 * right / max(len(said), 1):.0f} %"


def _others(said: Sequence[Said]) -> str:
    wrong = told_first([one for one in said if not one.right])
    return ", ".join(f"{count} {cause}" for cause, count in wrong.items())


def _row(name: str, cells: Sequence[str], *, width: int = 22) -> str:
    return name.ljust(width) + "".join(cell.ljust(22) for cell in cells).rstrip()
