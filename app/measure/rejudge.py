"""Judge stored units against masks again, fast enough to follow a hand that drags one."""

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from app.measure.room_jobs import Job
from app.measure.standing import Standing, nearest_hz, outcome, plan
from app.measure.trial import Trial
from app.procedure.mask_schema import Mask
from dsp import Bools, Floats, read_only
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict
from dsp.later import Later

_WORTH_SHARING = 1_500_000  # values; below it a second thread comes too late
_MANY = 20_000  # units times masks; below it as for values
_PROCESSORS = min(os.cpu_count() or 1, 4)
_AT_ONCE = 5000  # units: what is compared of them stays in the processor


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MaskTrial:
    """How each unit stands against one mask.

    Attributes
    ----------
    mask : Mask
        What they were judged by.
    fails, conforms : (units,) bool array
        Neither: not decided.
    margin : (units,) array
        Distance to the nearest limit in the quantity's unit, positive inside; NaN where not known.
    offset : (units,) array
        What the level was aligned by; 0 where it was not.
    standings : tuple of Standing
        What this follows from, a set of units each.
    worst : Later of float
        The worst margin.
    """

    mask: Mask
    fails: Bools
    conforms: Bools
    margin: Floats
    offset: Floats
    standings: tuple[Standing, ...]
    worst: Later[float]

    @property
    def worst_margin(self) -> float:
        """Margin that 95 % of the units keep, 5 % do not; NaN where no margin is known."""
        return self.worst()

    def nearest_hz(self, unit: int) -> float:
        """Return where the margin of a unit, by its place, is smallest, Hz; NaN where nowhere."""
        if np.isnan(self.margin[unit]):
            return float("nan")
        for standing in self.standings:
            at = np.flatnonzero(standing.held.members == unit)
            if at.size and standing.held.these is not None:
                return nearest_hz(standing, unit=int(at[0]))
        return float("nan")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Judged:
    """How all units stand against a set of masks.

    Attributes
    ----------
    masks : mapping of name to MaskTrial
        One by one.
    fails, conforms : (units,) bool array
        Altogether; neither: not decided.
    """

    masks: Mapping[str, MaskTrial]
    fails: Bools
    conforms: Bools

    @property
    def yielded(self) -> float:
        """Share of units that conform, 0 to 1; NaN without units."""
        return float(self.conforms.mean()) if self.conforms.size else float("nan")

    def verdict(self, unit: int) -> Verdict:
        """Return the verdict of a unit, by its place."""
        if self.fails[unit]:
            return Verdict.DOES_NOT_CONFORM
        return Verdict.CONFORMS if self.conforms[unit] else Verdict.NOT_DECIDED


def judged_when_made(trial: Trial) -> Judged:
    """Return how units stand by the verdicts of their takes, whatever masks each was held against.

    A take that was not judged is one that was not decided; no mask is told.
    """
    verdicts = [unit.verdict for unit in trial.units]
    fails, conforms = (
        np.array([one is verdict for one in verdicts], dtype=np.bool_)
        for verdict in (Verdict.DOES_NOT_CONFORM, Verdict.CONFORMS)
    )
    return Judged(masks={}, fails=read_only(fails), conforms=read_only(conforms))


def rejudge(trial: Trial, *, masks: Mapping[str, Mask], before: Judged | None = None) -> Judged:
    """Judge every unit of a trial as ``judge`` would have judged its take.

    Parameters
    ----------
    trial : Trial
        Has the quantities of all these masks.
    masks : mapping of name to Mask
        The limits.
    before : Judged or None
        An earlier answer for the same trial: what stands in it unchanged, whole masks or a few
        frequencies of one, is not judged anew.

    Returns
    -------
    Judged
    """
    kept = before.masks if before is not None else {}
    done: dict[str, MaskTrial] = {}
    planned: dict[str, tuple[Standing, ...]] = {}
    jobs: list[Job] = []
    for name, mask in masks.items():
        old = kept.get(name)
        if old is not None and (old.mask is mask or old.mask == mask):
            done[name] = old
            continue
        planned[name] = _plan(trial, mask, old=old, jobs=jobs)
    _run(jobs)
    for job in jobs:
        job.done()
    done |= _mask_trials(trial, masks, planned=planned)
    fails = np.zeros(trial.size, dtype=np.bool_)
    conforms = np.full(trial.size, bool(done))
    for result in done.values():
        fails |= result.fails
        conforms &= result.conforms
    return Judged(
        masks={name: done[name] for name in masks},
        fails=read_only(fails),
        conforms=read_only(conforms),
    )


def _plan(
    trial: Trial, mask: Mask, *, old: MaskTrial | None, jobs: list[Job]
) -> tuple[Standing, ...]:
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    before = {id(one.held): one for one in old.standings} if old is not None else {}
    standings = []
    for aligner in trial.held_against(mask.quantity, relative=mask.relative_to is not None):
        held = aligner.held
        offset = np.zeros(held.members.size)
        if mask.align == "level":
            offset = aligner.offsets(lines, band_hz=mask.align_band_hz)
        planned = plan(
            held, lines=lines, guard=mask.guard, offset=offset, before=before.get(id(held))
        )
        jobs += planned.jobs
        standings.append(planned.standing)
    return tuple(standings)


def _run(jobs: Sequence[Job]) -> None:
    """Judge the pieces, some units at a time, by several processors where there is much to do."""
    tasks = iter(
        [
            (job, begin, min(begin + _AT_ONCE, job.units))
            for job in jobs
            for begin in range(0, job.units, _AT_ONCE)
        ]
    )

    def work() -> None:
        for job, begin, end in tasks:  # whoever is free takes the next
            job.run(begin=begin, end=end)

    is_worth_it = sum(job.size for job in jobs) > _WORTH_SHARING
    threads = _PROCESSORS if is_worth_it else 1
    if threads == 1:
        work()
        return
    with ThreadPoolExecutor(threads - 1) as pool:
        others = [pool.submit(work) for _ in range(1, threads)]
        work()
        for other in others:
            other.result()


def _mask_trials(
    trial: Trial, masks: Mapping[str, Mask], *, planned: Mapping[str, tuple[Standing, ...]]
) -> dict[str, MaskTrial]:
    def one(name: str) -> MaskTrial:
        return _mask_trial(trial, masks[name], standings=planned[name])

    if len(planned) == 1 or len(planned) * trial.size < _MANY:
        return {name: one(name) for name in planned}
    with ThreadPoolExecutor(_PROCESSORS) as pool:
        return dict(zip(planned, pool.map(one, planned), strict=True))


def _mask_trial(trial: Trial, mask: Mask, *, standings: tuple[Standing, ...]) -> MaskTrial:
    fails = np.zeros(trial.size, dtype=np.bool_)
    conforms = fails.copy()
    margin = np.full(trial.size, np.nan)
    offset = np.zeros(trial.size)
    for standing in standings:
        found = outcome(standing)
        members = standing.held.members
        # Where all units are of one set they stand in the order of the trial.
        ours = slice(None) if members.size == trial.size else members
        fails[ours], conforms[ours] = found.fails, found.conforms
        margin[ours], offset[ours] = found.margin, standing.offset
    if trial.barred.any():
        fails[trial.barred] = conforms[trial.barred] = False
        margin[trial.barred] = np.nan
    return MaskTrial(
        mask=mask,
        fails=read_only(fails),
        conforms=read_only(conforms),
        margin=read_only(margin),
        offset=read_only(offset),
        standings=standings,
        worst=Later(lambda: _worst(margin)),
    )


def _worst(margin: Floats) -> float:
    known = margin[np.isfinite(margin)]
    return float(np.percentile(known, 5)) if known.size else float("nan")
