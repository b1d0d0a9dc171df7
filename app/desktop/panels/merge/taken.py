"""Takes with their corrections, derived once each; used by jobs of the one worker, never by two."""

from collections import OrderedDict

from app.desktop.panels.measure.again import Opener
from app.measure.near_and_far import Part, taken
from app.records.store import Store
from app.records.take import Take

_MOST = 12


class Taken:
    """Keeps the takes that were merged last."""

    def __init__(self) -> None:
        self.opener = Opener()
        self._known: OrderedDict[Part, Take] = OrderedDict()

    def of(self, store: Store, part: Part) -> Take:
        """Return a take with what is known better of it."""
        if part not in self._known:
            self._known[part] = taken(
                part, store=store, opened=lambda take_id: self.opener.opened(store, take_id)
            )
            if len(self._known) > _MOST:
                self._known.popitem(last=False)
        self._known.move_to_end(part)
        return self._known[part]
