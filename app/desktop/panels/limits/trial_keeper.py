"""The stored units behind the limits, read and judged elsewhere, the latest answer kept here."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.measure.compare_trials import Comparison, compare
from app.measure.held import Held, held
from app.measure.in_force import InForce, in_force, revision_among
from app.measure.new_mask import measured
from app.measure.rejudge import Judged, rejudge
from app.measure.trial import Trial, load_trial
from app.procedure.mask_schema import Mask
from app.procedure.schema import Procedure
from app.records.limit_revisions import LimitRevision
from app.records.store import Store
from dsp.statistics.spread import Spread

Masks = Mapping[str, Mask]
_PATIENCE_S = 0.010  # half of a frame and a little more: a lot of 10 000 units is judged in less


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Behind:
    """What stands behind the limits.

    Attributes
    ----------
    trial : Trial
        The units.
    force : InForce
        Their limit set.
    now : Judged
        By the limits in force.
    measured : tuple of str
        Quantities that a mask can be about.
    """

    trial: Trial
    force: InForce
    now: Judged
    measured: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Seen:
    """How a draft stands.

    Attributes
    ----------
    found : Comparison
        Against the limits in force.
    on_bench : LimitRevision or None
        Which revision the draft is, mask by mask; None: one that was not saved.
    name : str or None
        The mask that is shown.
    held, spread : Held, Spread or None
        The units as that mask sees them.
    """

    found: Comparison
    on_bench: LimitRevision | None
    name: str | None
    held: Held | None
    spread: Spread | None


class TrialKeeper(QObject):
    """Asks the worker; ``read`` comes with the units, ``judged`` with every answer to a draft."""

    read = Signal(object)  # the Trial before, or None
    judged = Signal()
    refused = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._opened: dict[str, Procedure] = {}
        self._is_reading = self._is_judging = False
        self._waiting: tuple[Masks, str | None] | None = None
        self.lot: str | None = None
        self.behind: Behind | None = None
        self.seen: Seen | None = None

    @property
    def is_settled(self) -> bool:
        """Whether nothing newer is being read: what is in the store is what is known here."""
        return not self._is_reading and self.seen is not None

    def look(self) -> None:
        """Read the units and revisions of the procedure on the bench."""
        self._is_reading = True
        store, procedure = self._bench.store, self._bench.procedure.procedure
        if self.behind is not None and self.behind.trial.procedure != procedure.name:
            self.lot = None  # it was another procedure's
        lot = self.lot
        # What a procedure was when it was first seen stands in for revisions where there are none.
        opened = self._opened.setdefault(procedure.name, procedure)
        self._bench.worker.ask(
            "limits: units",
            lambda: _read(store, procedure, opened=opened, lot=lot),
            then=self._keep,
            refused=self._refuse_reading,
        )

    def judge(self, masks: Masks, *, name: str | None) -> None:
        """Judge all units by a draft; ``name`` is the mask that is shown.

        One question at a time, the newest next: a hand that moves on must not void every answer.
        """
        if self._is_judging:
            self._waiting = (masks, name)
            return
        behind, before = self.behind, self.seen
        draft = self._bench.procedure.procedure.model_copy(update={"masks": dict(masks)})
        if behind is None:
            return
        self._is_judging = True
        self._bench.worker.ask(
            "limits: draft",
            lambda: _judge(behind, draft, name=name, before=before),
            then=lambda seen: self._see(seen, behind=behind),
            refused=self._refuse_judging,
            patience_s=_PATIENCE_S,
        )

    def fits(self, procedure: Procedure) -> bool:
        """Tell whether the units read have all that a procedure's masks look at."""
        if self.behind is None:
            return False
        trial = self.behind.trial
        quantities = {mask.quantity for mask in procedure.masks.values()}
        return trial.procedure == procedure.name and quantities <= {*trial.sets, *trial.numbers}

    def _keep(self, behind: Behind) -> None:
        before, self._is_reading = self.behind, False
        self.behind, self.seen = behind, None
        self.read.emit(None if before is None else before.trial)

    def _see(self, seen: Seen, *, behind: Behind) -> None:
        self._is_judging = False
        if behind is self.behind:  # others would be told of units that are no longer here
            self.seen = seen
            self.judged.emit()
        self._go_on()

    def _refuse_reading(self, error: Exception) -> None:
        self._is_reading = False
        self.refused.emit(str(error))

    def _refuse_judging(self, error: Exception) -> None:
        self._is_judging = False
        self.refused.emit(str(error))
        self._go_on()

    def _go_on(self) -> None:
        waiting, self._waiting = self._waiting, None
        if waiting is not None:
            self.judge(waiting[0], name=waiting[1])


def _read(store: Store, procedure: Procedure, *, opened: Procedure, lot: str | None) -> Behind:
    force = in_force(store, opened)
    # Both sets of masks count: the draft may look at what the revision in force does not.
    both = (*force.masks.values(), *procedure.masks.values())
    trial = load_trial(
        store, name=procedure.name, quantities={mask.quantity for mask in both}, lot=lot
    )
    return Behind(
        trial=trial,
        force=force,
        now=rejudge(trial, masks=force.masks),
        measured=measured(store, trial),
    )


def _judge(behind: Behind, draft: Procedure, *, name: str | None, before: Seen | None) -> Seen:
    last = before.found.draft if before is not None else behind.now
    judged = rejudge(behind.trial, masks=draft.masks, before=last)
    for one in judged.masks.values():
        one.worst()  # it is shown at once: worked out here, not in the window's thread
    seen = Seen(
        found=compare(behind.trial, now=behind.now, draft=judged),
        on_bench=revision_among(behind.force.revisions, draft),
        name=name,
        held=None,
        spread=None,
    )
    result = judged.masks.get(name or "")
    if result is None:
        return seen
    if before is not None and before.name == name and not _sees_otherwise(result.mask, last, name):
        return replace(seen, held=before.held, spread=before.spread)
    those = held(behind.trial, result)
    return replace(seen, held=those, spread=None if those is None else those.spread())


def _sees_otherwise(mask: Mask, last: Judged, name: str | None) -> bool:
    """Tell whether a mask looks at other curves than before; limits alone change nothing there."""
    was = last.masks.get(name or "")
    if was is None or mask.align is not None:
        return True
    return (was.mask.quantity, was.mask.relative_to, was.mask.align) != (
        mask.quantity,
        mask.relative_to,
        mask.align,
    )
