"""What the window opens after it has painted: slow imports, the store, the procedure."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QThread, Signal

from app.desktop.actions import BAYS
from app.errors import AppError
from hardware.errors import HardwareError

if TYPE_CHECKING:
    from app.desktop.laid import Laid
    from app.procedure.loaded import LoadedProcedure
    from app.records.store import Store

_FIRST_PROCEDURE = "line-check"
# Slow to import, and wanted by the first bay; what takes are made with, the engine imports.
_SLOW = (
    "app.desktop.bench",
    *(f"app.desktop.bays.{name}" for name in ("make_bay", *BAYS)),
    "app.measure.excite",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What to open.

    Attributes
    ----------
    store : str or None
        File or URL; None: one's own.
    laid, last_chain : Laid, Path or None
        The chain that was asked for, and otherwise the file that lay open last.
    procedure, last_procedure : str or None
        File, or name of one that ships: what was asked for, and otherwise what lay open last; a
        last one that has gone is no reason to open nothing.
    """

    store: str | None
    laid: "Laid | None" = None
    last_chain: Path | None = None
    procedure: str | None = None
    last_procedure: str | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Opened:
    """What a bench is made of; ``sentence`` says why the procedure is not the last one."""

    laid: "Laid"
    store: "Store"
    procedure: "LoadedProcedure"
    sentence: str = ""


class Opening(QThread):
    """Imports and opens beside the window's thread; ``done`` brings an ``Opened``.

    Before that, ``laid`` brings the chain (Laid), so that it is soon seen; ``refused`` brings the
    sentence of what could not be opened.
    """

    laid = Signal(object)
    done = Signal(object)
    refused = Signal(str)

    def __init__(self, wanted: Wanted) -> None:
        super().__init__()
        self._wanted = wanted
        self.is_at_store = False  # waiting for it, perhaps, as for another program

    def run(self) -> None:
        """Open everything, in the thread."""
        with _nothing_collected():
            laid = self._chain()
            import_module("app.desktop.strip.feed")  # shows it
            self.laid.emit(laid)
            from app.desktop.refusal import Refusal
            from app.records.store import Store

            try:
                procedure, sentence = self._procedure()
                self.is_at_store = True
                store = Store.open(self._wanted.store)
                self.is_at_store = False
            except Refusal as error:
                self.refused.emit(str(error))
                return
            for name in _SLOW:
                import_module(name)
        self.done.emit(Opened(laid=laid, store=store, procedure=procedure, sentence=sentence))

    def _chain(self) -> "Laid":
        from app.desktop.laid import lay_again

        wanted = self._wanted
        return wanted.laid or lay_again(wanted.last_chain)

    def _procedure(self) -> "tuple[LoadedProcedure, str]":
        """Return the procedure to begin with, and why it is not the one that lay open last."""
        from app.procedure.shipped import find_procedure

        wanted, sentence = self._wanted, ""
        if wanted.procedure is not None:
            return find_procedure(wanted.procedure), sentence
        if wanted.last_procedure is not None:
            try:
                return find_procedure(wanted.last_procedure), sentence
            except (AppError, HardwareError) as error:
                sentence = f"Not opened: {error}"
        return find_procedure(_FIRST_PROCEDURE), sentence


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Look for no garbage meanwhile, and never again among what there is afterwards.

    All threads wait while Python looks through everything: a fifth of a second among half a
    million objects, nearly all of them modules that live as long as the window does.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if was_on:
            gc.enable()
