"""Looks for sound devices away from the window's thread."""

from PySide6.QtCore import QObject, Signal

from app.desktop.worker import Worker
from hardware.soundcard.messages import DeviceInfo


class Devices(QObject):
    """What was found last; ``changed`` after every look."""

    changed = Signal()

    def __init__(self, worker: Worker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._worker = worker
        self.found: tuple[DeviceInfo, ...] | None = None
        self.units: tuple[str, ...] = ()
        self.cannot_look = ""

    @property
    def has_looked(self) -> bool:
        """Whether a look has been taken, with or without success."""
        return self.found is not None or bool(self.cannot_look)

    def look(self) -> None:
        """Ask for the devices that there are now."""
        self._worker.ask("devices", _look, then=self._take, refused=self._fail)
        if not self.units:
            self._worker.ask("units of the rig", _units, then=self._take_units, refused=self._fail)

    def _take(self, found: tuple[DeviceInfo, ...]) -> None:
        self.found, self.cannot_look = found, ""
        self.changed.emit()

    def _take_units(self, units: tuple[str, ...]) -> None:
        self.units = units
        self.changed.emit()

    def _fail(self, error: Exception) -> None:
        self.found, self.cannot_look = None, str(error)
        self.changed.emit()


def _look() -> tuple[DeviceInfo, ...]:
    from hardware.soundcard.devices import devices

    return devices()


def _units() -> tuple[str, ...]:
    from hardware.virtual.unit import UNITS

    return tuple(UNITS)
