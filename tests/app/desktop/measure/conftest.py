"""The desks that tests of the Measure bay work at."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.records.store import Store
from tests.app.desktop.measure.bay_on_bench import Desk, open_desk


@pytest.fixture(scope="session")
def empty_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store without takes, made once: making its tables takes longer than most tests."""
    place = tmp_path_factory.mktemp("store") / "records.sqlite"
    Store.open(place).close()
    return place


@pytest.fixture
def desk(qtbot: QtBot, qapp: QApplication, tmp_path: Path, empty_store: Path) -> Iterator[Desk]:
    """A desk of one's own, nothing measured yet."""
    place = Path(shutil.copy(empty_store, tmp_path / "records.sqlite"))
    made = open_desk(qtbot, qapp, place=place)
    yield made
    made.close()


@pytest.fixture(scope="module")
def _shared(
    request: pytest.FixtureRequest,
    qapp: QApplication,
    tmp_path_factory: pytest.TempPathFactory,
    empty_store: Path,
) -> Iterator[Desk]:
    place = tmp_path_factory.mktemp("shared") / "records.sqlite"
    made = open_desk(QtBot(request), qapp, place=Path(shutil.copy(empty_store, place)))
    made.make_take()
    yield made
    made.close()


@pytest.fixture
def seen(qtbot: QtBot, _shared: Desk) -> Desk:
    """A desk with one take of a good unit on it, for those who only look."""
    _shared.qtbot = qtbot
    _shared.bay.show_there(_shared.bench.store.find(limit=1)[0].id)
    _shared.settle()
    return _shared
