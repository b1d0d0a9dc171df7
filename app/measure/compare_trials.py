"""What a draft changes against the limits in force: yields, escapes, false rejects, units."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.measure.rejudge import Judged
from app.measure.trial import Trial
from dsp.conformity.verdict import Verdict

Found = Literal["good", "bad", "unknown"]
_ORDER = {"bad": 0, "good": 1, None: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Flip:
    """A unit that the draft judges otherwise.

    Attributes
    ----------
    unit : int
        Its place in the trial.
    before, after : Verdict
        By the limits in force, by the draft.
    mask : str
        The mask that makes the difference; the one with the smallest margin where several do.
    """

    unit: int
    before: Verdict
    after: Verdict
    mask: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Comparison:
    """Limits in force and draft over the same units.

    Attributes
    ----------
    now, draft : Judged
        How every unit stands.
    counts : mapping of (Verdict, "good" | "bad" | "unknown") to int
        Units by the draft's verdict and by what inspection found.
    escapes, escapes_now : int
        Bad units that the draft, and the limits in force, let pass.
    false_rejects, false_rejects_now : int
        Good units that they stop.
    flips : tuple of Flip
        Bad units first, then good ones, then those that nobody inspected.
    """

    now: Judged
    draft: Judged
    counts: Mapping[tuple[Verdict, Found], int]
    escapes: int
    escapes_now: int
    false_rejects: int
    false_rejects_now: int
    flips: tuple[Flip, ...]


def compare(trial: Trial, *, now: Judged, draft: Judged) -> Comparison:
    """Hold a draft's answer beside that of the limits in force.

    Parameters
    ----------
    trial : Trial
        The units.
    now, draft : Judged
        Of this trial.

    Returns
    -------
    Comparison
    """
    verdicts = [draft.verdict(unit) for unit in range(trial.size)]
    counts: Counter[tuple[Verdict, Found]] = Counter(
        (verdict, unit.mark or "unknown")
        for verdict, unit in zip(verdicts, trial.units, strict=True)
    )
    bad, good = (
        np.array([unit.mark == mark for unit in trial.units], dtype=np.bool_)
        for mark in ("bad", "good")
    )
    changed = (now.fails != draft.fails) | (now.conforms != draft.conforms)
    flips = [
        Flip(
            unit=int(unit),
            before=now.verdict(int(unit)),
            after=verdicts[unit],
            mask=_cause(now, draft, unit=int(unit)),
        )
        for unit in np.flatnonzero(changed)
    ]
    flips.sort(
        key=lambda flip: (
            _ORDER[trial.units[flip.unit].mark],
            flip.after is not Verdict.DOES_NOT_CONFORM,
        )
    )
    return Comparison(
        now=now,
        draft=draft,
        counts=dict(counts),
        escapes=int((bad & draft.conforms).sum()),
        escapes_now=int((bad & now.conforms).sum()),
        false_rejects=int((good & draft.fails).sum()),
        false_rejects_now=int((good & now.fails).sum()),
        flips=tuple(flips),
    )


def _cause(now: Judged, draft: Judged, *, unit: int) -> str:
    """Name the mask that decides otherwise; that of the worst margin where several do."""
    differing = [
        name
        for name in {**draft.masks, **now.masks}
        if _states(draft, name, unit) != _states(now, name, unit)
    ]
    return min(differing, key=lambda name: _margin(draft, name, unit), default="")


def _states(judged: Judged, name: str, unit: int) -> tuple[bool, bool]:
    # A mask that is not there lets everything pass.
    one = judged.masks.get(name)
    return (False, True) if one is None else (bool(one.fails[unit]), bool(one.conforms[unit]))


def _margin(judged: Judged, name: str, unit: int) -> float:
    one = judged.masks.get(name)
    margin = float("nan") if one is None else float(one.margin[unit])
    return margin if np.isfinite(margin) else float("inf")
