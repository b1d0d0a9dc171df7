"""Saves the bench's chain into its file, or into another one."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QFileDialog, QWidget

from app.desktop.bench import Bench, Wired
from hardware.chain.edit import moved
from hardware.chain.save import save_chain, save_new_chain

_FILES = "Chain files (*.toml)"


class ChainFile(QObject):
    """``saved`` carries the file; ``refused`` why nothing was written."""

    saved = Signal(object)
    refused = Signal(str)

    def __init__(self, bench: Bench, window: QWidget) -> None:
        super().__init__(window)
        self._bench, self._window = bench, window

    @property
    def is_saved(self) -> bool:
        """Whether the file says what the chain is."""
        return self._bench.chain_on_file == self._bench.chain

    @property
    def words(self) -> str:
        """Where the chain is kept, and whether that file says the same."""
        file = self._bench.wired.file
        if file is None:
            return "not saved yet"
        return file.name if self.is_saved else f"{file.name}, changed"

    @Slot()
    def save(self) -> None:
        """Write the chain back; one without a file asks for one."""
        wired, opened = self._bench.wired, self._bench.chain_on_file
        if wired.file is None or opened is None:
            self.save_as()
            return
        file, before = wired.file, opened

        def write() -> Wired:
            save_chain(file, wired.snapshot.chain, opened=before.chain)
            return wired

        self._write(write)

    @Slot()
    def save_as(self) -> None:
        """Ask for a file, and write the chain there."""
        wired = self._bench.wired
        start = wired.file or Path.home() / f"{_file_name(wired.snapshot.chain.name)}.toml"
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the chain", str(start), _FILES)
        if name:
            self.save_to(Path(name))

    def save_to(self, file: Path) -> None:
        """Write the chain into a file of that name; one that is there is written anew."""
        wired = self._bench.wired
        folder = wired.file.parent if wired.file else Path.cwd()

        def write() -> Wired:
            chain = moved(wired.snapshot.chain, old=folder, new=file.parent)
            save_new_chain(file, chain)
            return Wired(snapshot=wired.snapshot.model_copy(update={"chain": chain}), file=file)

        self._write(write)

    def _write(self, write: Callable[[], Wired]) -> None:
        self._bench.worker.ask(
            "save the chain",
            write,
            then=self._done,
            refused=lambda error: self.refused.emit(str(error)),
        )

    def _done(self, wired: Wired) -> None:
        self._bench.chain_saved(wired)
        self.saved.emit(wired.file)


def _file_name(chain: str) -> str:
    kept = "".join(one if one.isalnum() else "-" for one in chain.lower())
    return "-".join(filter(None, kept.split("-"))) or "chain"
