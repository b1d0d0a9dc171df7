"""What the linters cannot see: who imports what, how long files are, that results are frozen."""

import ast
import dataclasses
import importlib
import pkgutil
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

import app
import dsp
import hardware
from app.errors import AppError
from dsp import DspError
from hardware.errors import HardwareError

ROOT = Path(__file__).resolve().parent.parent
SOURCES = sorted(p for part in ("dsp", "hardware", "app") for p in (ROOT / part).rglob("*.py"))
LONGEST = 400
LONGER_FOR_A_REASON: dict[str, str] = {}


def modules(package: ModuleType) -> Iterator[ModuleType]:
    yield package
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        if not found.name.endswith("__main__") and "migrations" not in found.name:
            yield importlib.import_module(found.name)


def imported(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.split(".")[0])
    return names


@pytest.mark.parametrize("path", sorted((ROOT / "dsp").rglob("*.py")), ids=lambda p: p.stem)
def test_dsp_knows_numpy_and_scipy_and_nothing_else(path: Path) -> None:
    foreign = imported(path) - set(sys.stdlib_module_names) - {"dsp", "numpy", "scipy"}
    assert not foreign


def test_numba_stays_in_kernels() -> None:
    users = {p.name for p in SOURCES if "numba" in imported(p)}
    assert all(name.endswith("_kernel.py") for name in users)


def test_no_file_is_longer_than_one_sitting() -> None:
    long = {
        str(p.relative_to(ROOT)): n
        for p in [*SOURCES, *(ROOT / "tests").rglob("*.py")]
        if (n := len(p.read_text().splitlines())) > LONGEST
    }
    assert long.keys() == LONGER_FOR_A_REASON.keys()


def test_what_dsp_returns_is_frozen() -> None:
    thawed = [
        f"{module.__name__}.{name}"
        for module in modules(dsp)
        for name, kind in vars(module).items()
        if isinstance(kind, type)
        and dataclasses.is_dataclass(kind)
        and kind.__module__ == module.__name__
        and not kind.__dataclass_params__.frozen  # type: ignore[attr-defined]  # set by dataclass
    ]
    assert not thawed


@pytest.mark.parametrize(
    ("package", "root"),
    [(dsp, DspError), (hardware, HardwareError), (app, AppError)],
    ids=["dsp", "hardware", "app"],
)
def test_every_error_stands_under_its_package_root(
    package: ModuleType, root: type[Exception]
) -> None:
    strays = [
        f"{module.__name__}.{name}"
        for module in modules(package)
        for name, kind in vars(module).items()
        if isinstance(kind, type)
        and issubclass(kind, Exception)
        and kind.__module__ == module.__name__
        and not issubclass(kind, root)
    ]
    assert not strays
