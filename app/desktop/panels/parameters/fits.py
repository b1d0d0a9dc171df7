"""Models of takes, fitted once each; used by jobs of the one worker, never by two at once."""

from collections import OrderedDict

from app.desktop.panels.measure.again import Opener
from app.measure.scaling import Scaling, scaled
from app.measure.unit_fit import UnitFit, fit_take
from app.records.store import Store
from dsp.parameters.estimates import Estimates

_MOST = 12


class Fits:
    """Keeps the models of the takes that were looked at last."""

    def __init__(self, opener: Opener) -> None:
        self._opener = opener
        self._known: OrderedDict[str, UnitFit] = OrderedDict()

    def of(self, store: Store, take_id: str) -> UnitFit:
        """Return the model of a take."""
        if take_id not in self._known:
            self._known[take_id] = fit_take(self._opener.opened(store, take_id))
            if len(self._known) > _MOST:
                self._known.popitem(last=False)
        self._known.move_to_end(take_id)
        return self._known[take_id]

    def scaled(self, store: Store, take_id: str, *, scaling: Scaling) -> Estimates:
        """Return all figures of a take by a method."""
        first = self.of(store, take_id)
        second = self.of(store, scaling.second) if scaling.second else None
        opened = self._opener.opened(store, take_id)
        return scaled(first, opened=opened, scaling=scaling, second=second)
