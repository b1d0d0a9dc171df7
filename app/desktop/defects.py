"""A defect of Dustcap is logged and told in the row; the window lives on."""

import logging
import sys
import threading
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

from platformdirs import user_log_path
from PySide6.QtCore import QObject, Signal

_LOG = logging.getLogger("dustcap")
_MOST_BYTES = 1_000_000


def log_file() -> Path:
    """Return where a person's own log lies."""
    return user_log_path("dustcap") / "dustcap.log"


def open_log(file: Path) -> logging.Handler:
    """Write the log to a file from now on; where there can be none, stderr alone is left."""
    handler: logging.Handler
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(file, maxBytes=_MOST_BYTES, backupCount=1, encoding="utf-8")
    except OSError:
        handler = logging.NullHandler()
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    _LOG.addHandler(handler)
    return handler


class Defects(QObject):
    """Hears every exception that nobody expected, of any thread.

    ``happened`` says in one line what it was; it arrives in the window's thread.
    """

    happened = Signal(str)

    def watch(self) -> None:
        """Be told from now on."""
        sys.excepthook = self.hear
        threading.excepthook = self._hear_thread

    def hear(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Log an exception with its trace, and tell of it."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        _LOG.critical("unexpected", exc_info=(kind, error, trace))
        sys.__excepthook__(kind, error, trace)
        self.happened.emit(f"{kind.__name__}: {error}".strip().removesuffix(":"))

    def _hear_thread(self, told: threading.ExceptHookArgs) -> None:
        if told.exc_value is not None:
            self.hear(told.exc_type, told.exc_value, told.exc_traceback)
