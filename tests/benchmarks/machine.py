"""What the figures were measured on, in general words."""

import os
import platform
from importlib.metadata import version

# Above this many running programs a core, times are told to be no better than upper bounds.
_IDLE = 0.5


def machine() -> str:
    """Name cores, processor family and versions; never the host."""
    cores = os.cpu_count() or 1
    processor = platform.machine().replace("x86_64", "x86-64")
    words = [f"{cores} cores", processor, f"{platform.system()}"]
    words += [f"Python {platform.python_version()}"]
    words += [f"{library} {version(library)}" for library in ("numpy", "scipy")]
    return ", ".join(words) + _other_work(cores)


def _other_work(cores: int) -> str:
    if not hasattr(os, "getloadavg"):
        return ""
    load = os.getloadavg()[0]
    if load < _IDLE * cores:
        return ""
    return f"; other work was running (load {load:.1f}), so times are upper bounds"
