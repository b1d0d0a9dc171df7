"""Whether a window can be opened here, asked before Qt is: Qt itself ends the program where not."""

import ctypes
import os
import sys
from importlib.util import find_spec
from pathlib import Path

# Platforms of Qt that paint into memory: they open, but nobody sees them.
_UNSEEN = ("offscreen", "minimal", "vnc")


def why_no_window() -> str | None:
    """Say in one line why no window can be opened; None where it can."""
    if find_spec("PySide6") is None:
        return "no window: PySide6 is not installed"
    try:
        import PySide6.QtWidgets  # noqa: F401  loads what the system must have
    except ImportError as error:
        return f"no window: a library is missing on this system: {error}"
    if not sys.platform.startswith("linux") or _platform():
        return None
    if os.environ.get("WAYLAND_DISPLAY"):
        return None
    if not os.environ.get("DISPLAY"):
        return "no window: there is no screen here (DISPLAY is not set)"
    return _why_no_xcb()


def has_screen() -> bool:
    """Whether a window would be seen by somebody: then it opens without being asked for."""
    if _platform().startswith(_UNSEEN):
        return False
    return why_no_window() is None


def _platform() -> str:
    return os.environ.get("QT_QPA_PLATFORM", "")


def _why_no_xcb() -> str | None:
    import PySide6

    plugin = Path(PySide6.__file__).parent / "Qt/plugins/platforms/libqxcb.so"
    try:
        ctypes.CDLL(str(plugin))
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError as error:
        return f"no window: a library is missing on this system: {error}"
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = ctypes.c_void_p(xcb.xcb_connect(None, None))
    refused = xcb.xcb_connection_has_error(connection)
    xcb.xcb_disconnect(connection)
    if refused:
        return f"no window: the screen {os.environ['DISPLAY']} does not answer"
    return None
