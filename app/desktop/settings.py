"""What the window remembers from one day to the next; a file that cannot be read is forgotten."""

from pathlib import Path

from platformdirs import user_config_path
from PySide6.QtCore import QByteArray, QSettings

from app.desktop.actions import BAYS
from app.desktop.own_keys import OwnKeys, own_keys

_PROGRAM = "dustcap"
_FIRST_BAY = "measure"
_KEYS = "keys"


def settings_file() -> Path:
    """Return where a person's own settings lie."""
    return user_config_path(_PROGRAM) / "window.ini"


class Settings:
    """Place and size of the window, theme, bay, and the files that lay open.

    Parameters
    ----------
    file : Path
        Made when something is first remembered.
    """

    def __init__(self, file: Path) -> None:
        self._kept = QSettings(str(file), QSettings.Format.IniFormat)

    @property
    def geometry(self) -> QByteArray:
        """Place and size, as ``QWidget.saveGeometry`` gave them; empty before the first time."""
        kept = self._kept.value("geometry")
        return kept if isinstance(kept, QByteArray) else QByteArray()

    @geometry.setter
    def geometry(self, geometry: QByteArray) -> None:
        self._kept.setValue("geometry", geometry)

    @property
    def dark(self) -> bool | None:
        """The theme that was chosen; None: the system's."""
        return {"dark": True, "light": False}.get(self._text("theme"))

    @dark.setter
    def dark(self, dark: bool | None) -> None:
        self._kept.setValue("theme", {True: "dark", False: "light", None: "system"}[dark])

    @property
    def bay(self) -> str:
        """The bay that was entered last."""
        kept = self._text("bay")
        return kept if kept in BAYS else _FIRST_BAY

    @bay.setter
    def bay(self, bay: str) -> None:
        self._kept.setValue("bay", bay)

    @property
    def chain(self) -> Path | None:
        """The chain file that lay open; None for the bench in software that ships."""
        return Path(kept) if (kept := self._text("chain")) else None

    @chain.setter
    def chain(self, chain: Path | None) -> None:
        self._kept.setValue("chain", str(chain.absolute()) if chain else "")

    @property
    def procedure(self) -> str | None:
        """The procedure that lay open: a file, or the name of one that ships."""
        return self._text("procedure") or None

    @procedure.setter
    def procedure(self, procedure: str | None) -> None:
        self._kept.setValue("procedure", procedure or "")

    @property
    def letters(self) -> bool:
        """Whether single letters act outside text fields (WCAG 2.1, 2.1.4)."""
        return self._text("letters") != "off"

    @letters.setter
    def letters(self, letters: bool) -> None:
        self._kept.setValue("letters", "on" if letters else "off")

    @property
    def own_keys(self) -> OwnKeys:
        """The keys that a person has set in place of ours."""
        self._kept.beginGroup(_KEYS)
        kept = {name: str(self._kept.value(name)) for name in self._kept.childKeys()}
        self._kept.endGroup()
        return own_keys(kept)

    @own_keys.setter
    def own_keys(self, own: OwnKeys) -> None:
        self._kept.remove(_KEYS)
        for name, key in own.chosen.items():
            self._kept.setValue(f"{_KEYS}/{name}", key)

    def write(self) -> None:
        """Bring it to the disk now."""
        self._kept.sync()

    def _text(self, key: str) -> str:
        kept = self._kept.value(key)
        return kept if isinstance(kept, str) else ""
