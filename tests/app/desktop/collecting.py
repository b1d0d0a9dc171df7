"""Garbage of windows is collected between the files of tests, when no window is open.

A program has one window; here hundreds are made and closed in one process. What is left of them
was collected in the middle of another one's painting, and took the process with it.
"""

import gc
from collections.abc import Iterator

import pytest

_NEVER = 1_000_000_000  # allocations between two collections by itself


@pytest.fixture(scope="session")
def _imports_frozen() -> None:
    gc.collect()
    gc.freeze()  # what was imported is looked through no more


@pytest.fixture(scope="module", autouse=True)
def _collected_between_files(_imports_frozen: None) -> Iterator[None]:
    thresholds = gc.get_threshold()
    gc.set_threshold(_NEVER)
    yield
    gc.set_threshold(*thresholds)
    gc.collect()
