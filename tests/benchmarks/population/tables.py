"""The study as a person reads it."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from tests.benchmarks.population.specimen import IRREGULAR
from tests.benchmarks.population.study import HALLS, NAMED_AT, NAMED_IN, Detected, Study

_BINS = (0.0, 0.5, 0.7, 0.85, 0.95, 1.0001)


def tables(study: Study) -> str:
    """Lay out every table."""
    parts = [
        _detection(study.detected, sweep_alone=False, head="Sweep and tones"),
        _detection(study.detected, sweep_alone=True, head="Sweep alone"),
        _naming(study),
        _alarms(study),
        _sureness(study),
    ]
    return "\n\n".join(parts)


def _detection(detected: Sequence[Detected], *, sweep_alone: bool, head: str) -> str:
    lines = [
        f"{head}: area under ROC at severity {NAMED_AT:g} / escapes there at 0.1 % false rejects"
        " / smallest severity of which 9 in 10 are found",
        _row("", [hall.called for hall in HALLS]),
    ]
    for kind in IRREGULAR:
        cells = []
        for hall in HALLS:
            one = next(
                one
                for one in detected
                if (one.kind, one.hall, one.sweep_alone) == (kind, hall, sweep_alone)
            )
            least = "none" if math.isnan(one.smallest) else f"{one.smallest:g}"
            cells.append(f"{one.area:.3f} / {100 * one.escapes:.0f} % / {least}")
        lines.append(_row(kind, cells))
    return "\n".join(lines)


def _naming(study: Study) -> str:
    lines = [f"Cause named first, one fault of severity {NAMED_AT:g}, {NAMED_IN.called}"]
    lines += [
        _row(
            one.kind,
            [
                f"{one.right} of {one.units}",
                f"{one.wrong} wrong",
                f"{100 * one.confidence:.0f} % sure",
            ],
        )
        for one in study.named
    ]
    units, right = sum(one.units for one in study.named), sum(one.right for one in study.named)
    lines.append(_row("all", [f"{right} of {units}", f"{100 * right / units:.1f} %"]))
    return "\n".join(lines)


def _alarms(study: Study) -> str:
    lines = ["Good units, held out, of which something is said though no limit is broken"]
    lines += [
        _row(one.hall.called, [f"{one.found} of {one.units}"], width=30) for one in study.alarms
    ]
    return "\n".join(lines)


def _sureness(study: Study) -> str:
    lines = ["Stated confidence, and how often the cause was right"]
    stated = np.array([confidence for confidence, _ in study.sureness])
    right = np.array([was_right for _, was_right in study.sureness])
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


def _row(name: str, cells: Sequence[str], *, width: int = 22) -> str:
    return name.ljust(width) + "".join(cell.ljust(30) for cell in cells).rstrip()
