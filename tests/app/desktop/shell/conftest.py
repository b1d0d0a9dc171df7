"""A window on the bench in software, with placeholders for bays."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.bench import Bench, Wired
from app.desktop.settings import Settings
from app.desktop.shell_actions import ShellActions
from app.desktop.window import MainWindow
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from hardware.chain.snapshot import ChainSnapshot
from tests.app.desktop.shell.placeholder import placeholder


def real_time(chain: ChainSnapshot) -> ChainSnapshot:
    virtual = chain.chain.virtual
    assert virtual is not None
    slow = virtual.model_copy(update={"real_time": True})
    return chain.model_copy(update={"chain": chain.chain.model_copy(update={"virtual": slow})})


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(tmp_path / "window.ini")


@pytest.fixture
def bench(qapp: object, tmp_path: Path) -> Bench:  # noqa: ARG001
    """The window that it is given to closes it."""
    return Bench(
        store=Store.open(tmp_path / "records.sqlite"),
        chain=Wired(snapshot=real_time(demo_chain()), file=None),
        procedure=find_procedure("line-check"),
    )


@pytest.fixture
def window(qtbot: QtBot, settings: Settings, bench: Bench) -> Iterator[MainWindow]:
    made = MainWindow(settings, chain=bench.chain.chain, make=placeholder)
    ShellActions(made)
    made.begin(bench)
    made.resize(1280, 800)
    with qtbot.waitExposed(made):
        made.show()
    made.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is made)
    yield made
    made.leave()
    made.deleteLater()


@pytest.fixture
def shell(window: MainWindow) -> ShellActions:
    found = window.findChild(ShellActions)
    assert isinstance(found, ShellActions)
    return found
