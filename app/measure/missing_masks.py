"""Masks that limits in force have and a draft has not, and the units that only they stop."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.measure.rejudge import Judged
from app.measure.trial import Trial
from app.procedure.limit_words import counted
from app.procedure.mask_schema import Mask
from app.records.store import Store
from dsp import Bools, read_only
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MissingMasks:
    """What a draft leaves out.

    Attributes
    ----------
    names : tuple of str
        Of masks whose name the draft doesn't have, nor any mask of their quantity.
    fails : mapping of name to (units,) bool array
        Whom each of them stops; those that stop nobody may be left out.
    stopped : (units,) bool array
        Units that one of them stops and the draft does not.
    """

    names: tuple[str, ...]
    fails: Mapping[str, Bools]
    stopped: Bools

    @property
    def words(self) -> str:
        """One line; empty where nothing is missing."""
        if not self.names:
            return ""
        *others, last = self.names
        named = f"masks for {', '.join(others)} and {last}" if others else f"mask for {last}"
        count = int(self.stopped.sum())
        they = "they stop" if others else "it stops"
        return f"the draft has no {named}: {counted(count, 'unit')} that only {they}"

    def of_unit(self, unit: int) -> str:
        """Name those that stop a unit, by its place; empty where none does."""
        return ", ".join(
            name for name in self.names if name in self.fails and self.fails[name][unit]
        )


def missing_masks(
    trial: Trial, *, draft: Judged, now: Judged, masks: Mapping[str, Mask] | None, store: Store
) -> MissingMasks:
    """Find what a draft leaves out.

    Parameters
    ----------
    trial : Trial
        The units.
    draft, now : Judged
        Of this trial.
    masks : mapping of str to Mask, or None
        Those that ``now`` was judged by; None: each take by those that it was made with.
    store : Store
        Where those takes are.

    Returns
    -------
    MissingMasks
    """
    if masks is None:
        quantities = _quantities(trial.procedure, store=store)
        fails = _failed_when_made(trial, now=now, store=store)
    else:
        quantities = {name: mask.quantity for name, mask in masks.items()}
        fails = {name: one.fails for name, one in now.masks.items()}
    there = {one.mask.quantity for one in draft.masks.values()}
    names = [
        name
        for name, quantity in quantities.items()
        if name not in draft.masks and quantity not in there
    ]
    stopped = np.zeros(trial.size, dtype=np.bool_)
    for name in names:
        stopped |= fails.get(name, False)
    return MissingMasks(names=tuple(names), fails=fails, stopped=read_only(stopped & ~draft.fails))


def _quantities(procedure: str, *, store: Store) -> dict[str, str]:
    """Return what the masks of a procedure look at, by name; those of the newest form count."""
    newest = next(iter(store.revisions(procedure)), None)
    form = store.revised_procedure(newest.sha256) if newest is not None else None
    return {name: mask.quantity for name, mask in form.masks.items()} if form is not None else {}


def _failed_when_made(trial: Trial, *, now: Judged, store: Store) -> dict[str, Bools]:
    places = np.flatnonzero(now.fails)
    results = store.masks(take_ids=[trial.units[place].take_id for place in places])
    failed: dict[str, Bools] = {}
    for place in places:
        for name, one in results.get(trial.units[place].take_id, {}).items():
            if one.verdict is Verdict.DOES_NOT_CONFORM:
                failed.setdefault(name, np.zeros(trial.size, dtype=np.bool_))[place] = True
    return failed
