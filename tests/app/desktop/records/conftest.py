"""A line's store, filled once and copied for each test."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

import pytest
from pytestqt.qtbot import QtBot

from app.records.store import Store
from tests.app.desktop.records.line_store import fill_line
from tests.app.desktop.records.open_bay import Filled, Open, opened


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Filled:
    folder = tmp_path_factory.mktemp("line")
    with Store.open(folder / "records.sqlite") as store:
        return Filled(folder=folder, takes=fill_line(store, lots=3, units=4))


@pytest.fixture
def line(qtbot: QtBot, tmp_path: Path, filled: Filled) -> Iterator[Open]:
    copytree(filled.folder, tmp_path / "line")
    made = opened(qtbot, tmp_path / "line", takes=filled.takes)
    yield made
    made.bench.close()
