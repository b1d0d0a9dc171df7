"""What a station on the line remembers: where takes are exported to."""

from pathlib import Path

from PySide6.QtCore import QSettings

from app.desktop.settings import settings_file


class LineSettings:
    """Kept in a file of its own beside the window's; written when a person changes something."""

    def __init__(self, file: Path | None = None) -> None:
        place = file or settings_file().with_name("line.ini")
        self._kept = QSettings(str(place), QSettings.Format.IniFormat)

    @property
    def export_folder(self) -> Path | None:
        """Where takes went last; None where they never did."""
        kept = self._kept.value("export/folder")
        return Path(kept) if isinstance(kept, str) and kept else None

    @property
    def exports(self) -> bool:
        """Whether each take is exported."""
        return self._kept.value("export/on") == "yes" and self.export_folder is not None

    def set_export(self, folder: Path | None) -> None:
        """Export to a folder from now on; None: no more."""
        self._kept.setValue("export/on", "yes" if folder else "no")
        if folder is not None:
            self._kept.setValue("export/folder", str(folder))
        self._kept.sync()
