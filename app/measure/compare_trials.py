"""What a draft changes against the limits in force: yields, escapes, false rejects, units."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, overload

import numpy as np

from app.measure.rejudge import Judged
from app.measure.trial import Trial
from dsp import Bools, Floats, Ints, read_only
from dsp.conformity.verdict import Verdict

Found = Literal["good", "bad", "unknown"]
_UNKNOWN = np.finfo(np.float64).max  # a margin that is not known comes after all that are


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
class Flips(Sequence[Flip]):
    """Units that the draft judges otherwise: a sequence that makes each one when it is asked for.

    Attributes
    ----------
    now, draft : Judged
        How every unit stands.
    units : (n,) int array
        Their places in the trial.
    names : tuple of str
        Of masks.
    cause : (n,) int array
        Which of these makes the difference; -1: none by itself.
    """

    now: Judged
    draft: Judged
    units: Ints
    names: tuple[str, ...]
    cause: Ints

    def __len__(self) -> int:
        return int(self.units.size)

    @overload
    def __getitem__(self, at: int) -> Flip: ...

    @overload
    def __getitem__(self, at: slice) -> tuple[Flip, ...]: ...

    def __getitem__(self, at: int | slice) -> Flip | tuple[Flip, ...]:
        if isinstance(at, slice):
            return tuple(self[place] for place in range(*at.indices(len(self))))
        unit, cause = int(self.units[at]), int(self.cause[at])
        return Flip(
            unit=unit,
            before=self.now.verdict(unit),
            after=self.draft.verdict(unit),
            mask="" if cause < 0 else self.names[cause],
        )


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
    flips : sequence of Flip
        Bad units first, then good ones, then those that nobody inspected.
    """

    now: Judged
    draft: Judged
    counts: Mapping[tuple[Verdict, Found], int]
    escapes: int
    escapes_now: int
    false_rejects: int
    false_rejects_now: int
    flips: Flips


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
    return Comparison(
        now=now,
        draft=draft,
        counts=_counts(trial, draft),
        escapes=int((trial.bad & draft.conforms).sum()),
        escapes_now=int((trial.bad & now.conforms).sum()),
        false_rejects=int((trial.good & draft.fails).sum()),
        false_rejects_now=int((trial.good & now.fails).sum()),
        flips=_flips(trial, now=now, draft=draft),
    )


def _counts(trial: Trial, draft: Judged) -> dict[tuple[Verdict, Found], int]:
    verdicts = {
        Verdict.CONFORMS: draft.conforms,
        Verdict.DOES_NOT_CONFORM: draft.fails,
        Verdict.NOT_DECIDED: ~(draft.conforms | draft.fails),
    }
    found: dict[Found, Bools] = {
        "good": trial.good,
        "bad": trial.bad,
        "unknown": ~(trial.good | trial.bad),
    }
    counts = {
        (verdict, mark): int((so & marked).sum())
        for verdict, so in verdicts.items()
        for mark, marked in found.items()
    }
    return {key: count for key, count in counts.items() if count}


def _flips(trial: Trial, *, now: Judged, draft: Judged) -> Flips:
    units = np.flatnonzero((now.fails != draft.fails) | (now.conforms != draft.conforms))
    order = np.where(trial.bad, 0, np.where(trial.good, 1, 2))
    units = units[np.lexsort((~draft.fails[units], order[units]))]
    names = tuple({**draft.masks, **now.masks})
    return Flips(
        now=now,
        draft=draft,
        units=read_only(units),
        names=names,
        cause=read_only(_causes(now, draft, units=units, names=names)),
    )


def _causes(now: Judged, draft: Judged, *, units: Ints, names: Sequence[str]) -> Ints:
    """Find the mask that decides otherwise; that of the worst margin where several do."""
    cause, least = np.full(units.size, -1), np.full(units.size, np.inf)
    for number, name in enumerate(names):
        (fails, conforms), (failed, conformed) = _states(draft, name), _states(now, name)
        margin = _margin(draft, name, units=units)
        differs = (fails != failed)[units] | (conforms != conformed)[units]
        worse = differs & (margin < least)
        cause[worse], least[worse] = number, margin[worse]
    return cause


def _states(judged: Judged, name: str) -> tuple[Bools, Bools]:
    # A mask that is not there lets everything pass.
    one = judged.masks.get(name)
    if one is None:
        return np.zeros(judged.fails.size, np.bool_), np.ones(judged.fails.size, np.bool_)
    return one.fails, one.conforms


def _margin(judged: Judged, name: str, *, units: Ints) -> Floats:
    one = judged.masks.get(name)
    if one is None:
        return np.full(units.size, _UNKNOWN)
    margin = one.margin[units]
    return np.where(np.isfinite(margin), margin, _UNKNOWN)
