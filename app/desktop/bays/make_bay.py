"""The five bays by name; each is imported when it is first wanted."""

from app.desktop.actions import Actions
from app.desktop.bays.bay import Bay
from app.desktop.bench import Bench


def make_bay(name: str, bench: Bench, actions: Actions) -> Bay:
    """Return a new bay; what takes long is still to be made.

    Raises
    ------
    KeyError
        There is no bay of that name.
    """
    match name:
        case "chain":
            from app.desktop.bays.chain import ChainBay

            return ChainBay(bench, actions, at_once=False)
        case "measure":
            from app.desktop.bays.measure import MeasureBay

            return MeasureBay(bench, actions, at_once=False)
        case "limits":
            from app.desktop.bays.limits import LimitsBay

            return LimitsBay(bench, actions, at_once=False)
        case "line":
            from app.desktop.bays.line import LineBay

            return LineBay(bench, actions)
        case "records":
            from app.desktop.bays.records import RecordsBay

            return RecordsBay(bench, actions, at_once=False)
        case _:
            raise KeyError(name)
