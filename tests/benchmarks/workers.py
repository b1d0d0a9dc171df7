"""Spreads simulated takes over the cores; what is timed runs alone, before or after."""

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from types import TracebackType
from typing import Self, TypeVar

Job = TypeVar("Job")
Answer = TypeVar("Answer")


class Workers:
    """One process a core, or ``count`` of them, for as long as it is entered."""

    def __init__(self, *, count: int | None = None) -> None:
        self._pool = ProcessPoolExecutor(max_workers=count or os.cpu_count() or 1)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._pool.shutdown(cancel_futures=True)

    def each(self, work: Callable[[Job], Answer], jobs: Iterable[Job]) -> list[Answer]:
        """Do every job, in any order; answers come in the order of the jobs."""
        return list(self._pool.map(work, jobs))
