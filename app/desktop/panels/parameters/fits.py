"""Models of takes, fitted once each; used by jobs of the one worker, never by two at once."""

from collections import OrderedDict

from app.desktop.panels.measure.again import Opener
from app.measure.scaling import Scaling, scaled
from app.measure.unit_fit import UnitFit, fit_take, heard_in
from app.records.store import Store
from dsp.parameters.estimates import Estimates
from dsp.parameters.one_take import PressurePerCurrent

_MOST = 12


class Fits:
    """Keeps the models of the takes that were looked at last."""

    def __init__(self, opener: Opener) -> None:
        self._opener = opener
        self._known: OrderedDict[str, UnitFit] = OrderedDict()
        self._heard: tuple[str, PressurePerCurrent] | None = None

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
        second = self.of(store, scaling.second).fit if scaling.second else None
        heard = self._heard_in(store, take_id) if scaling.kind == "pressure" else None
        return scaled(self.of(store, take_id), scaling=scaling, second=second, heard=heard)

    def _heard_in(self, store: Store, take_id: str) -> PressurePerCurrent:
        if self._heard is None or self._heard[0] != take_id:
            self._heard = take_id, heard_in(self._opener.opened(store, take_id))
        return self._heard[1]
