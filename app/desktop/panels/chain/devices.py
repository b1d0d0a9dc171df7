"""Looks for sound devices away from the window's thread."""

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from hardware.soundcard.messages import DeviceInfo


class Devices(QObject):
    """What was found last; ``changed`` after every look.

    A card that is in use may not be listed, so the bench lets its own go first.
    """

    changed = Signal()

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench, self._is_waiting = bench, False
        bench.card_free.connect(self._look)
        self.found: tuple[DeviceInfo, ...] | None = None
        self.units: tuple[str, ...] = ()
        self.cannot_look = ""

    @property
    def has_looked(self) -> bool:
        """Whether a look has been taken, with or without success."""
        return self.found is not None or bool(self.cannot_look)

    def look(self) -> None:
        """Ask for the devices that there are now."""
        self._is_waiting = True
        self._bench.free_card()

    @Slot()
    def _look(self) -> None:
        if not self._is_waiting:
            return
        self._is_waiting = False
        ask = self._bench.worker.ask
        ask("devices", _look, then=self._take, refused=self._fail)
        if not self.units:
            ask("units of the rig", _units, then=self._take_units, refused=self._fail)

    def _take(self, found: tuple[DeviceInfo, ...]) -> None:
        self.found, self.cannot_look = found, ""
        self._bench.listen_again()
        self.changed.emit()

    def _take_units(self, units: tuple[str, ...]) -> None:
        self.units = units
        self.changed.emit()

    def _fail(self, error: Exception) -> None:
        self.found, self.cannot_look = None, str(error)
        self._bench.listen_again()
        self.changed.emit()


def _look() -> tuple[DeviceInfo, ...]:
    from hardware.soundcard.devices import devices

    return devices()


def _units() -> tuple[str, ...]:
    from hardware.virtual.unit import UNITS

    return tuple(UNITS)
