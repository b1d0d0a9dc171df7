"""Has the risks of the chosen mask worked out when the hand is still."""

from PySide6.QtCore import QObject, Slot

from app.desktop.bench import Bench
from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.point import PointPanel
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.presenters.limits_risks import risks_state
from app.measure.risks import MaskRisks, mask_risks

_TOPIC = "limits: risks"


class Risks(QObject):
    """Follows the keeper's answers; what a mask was judged to is looked at once."""

    def __init__(
        self, bench: Bench, *, draft: Draft, keeper: TrialKeeper, panel: PointPanel
    ) -> None:
        super().__init__(draft)
        self._bench, self._draft, self._keeper, self._panel = bench, draft, keeper, panel
        self._of: object = None  # results never change: they are told apart by identity
        keeper.judged.connect(self.work_out)
        draft.chosen_changed.connect(self.work_out)

    @Slot()
    def work_out(self) -> None:
        """Ask anew where the mask or the units are others; under a moving hand nothing is asked."""
        seen, behind = self._keeper.seen, self._keeper.behind
        result = seen.found.draft.masks.get(self._draft.name or "") if seen is not None else None
        if self._draft.is_dragging or result is self._of:
            return
        self._of = result
        self._bench.worker.forget(_TOPIC)
        if behind is None or result is None or not behind.trial.size:
            self._panel.set_risks(None)
            return
        trial = behind.trial
        self._bench.worker.ask(
            _TOPIC,
            lambda: mask_risks(trial, result),
            then=self._show,
            refused=lambda _: self._panel.set_risks(None),
        )

    def _show(self, found: MaskRisks) -> None:
        self._panel.set_risks(risks_state(found))
