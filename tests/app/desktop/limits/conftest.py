"""The Limits bay on twenty made-up units."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.records.store import Store
from tests.app.desktop.limits.seen_bay import seen_bay
from tests.app.measure.trial_store import twenty_units


@pytest.fixture
def bay(qtbot: QtBot, tmp_path: Path) -> Iterator[LimitsBay]:
    with seen_bay(twenty_units(tmp_path), qtbot) as made:
        yield made


@pytest.fixture
def empty_bay(qtbot: QtBot, tmp_path: Path) -> Iterator[LimitsBay]:
    with seen_bay(Store.open(tmp_path / "empty.sqlite"), qtbot) as made:
        yield made
