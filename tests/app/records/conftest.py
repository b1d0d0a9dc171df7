"""Stores of both kinds: what takes ``where`` or ``store`` runs on a file and on a server."""

from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from app.records.store import Store
from tests.app.records.places import KINDS, Places


@pytest.fixture(scope="session")
def places(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Places]:
    with ExitStack() as until:
        yield Places(tmp_path_factory.mktemp("stores"), until=until)


@pytest.fixture(params=KINDS)
def where(request: pytest.FixtureRequest, places: Places) -> Iterator[str]:
    address = places.new(request.param)
    yield address
    places.free(address)


@pytest.fixture
def store(where: str) -> Iterator[Store]:
    with Store.open(where) as one:
        yield one
