"""How fast the rig tells what it recorded: at once, or as a card would that plays meanwhile."""

import math
from collections.abc import Callable
from threading import Event
from time import monotonic

import numpy as np

from hardware.card import PlayRequest, Progress, Samples

_REPORTS = 20
_REPORTS_PER_S = 30.0


class Pace:
    """Tells everything as soon as it is worked out, in 20 reports.

    Parameters
    ----------
    request : PlayRequest
        What is played.
    on_progress, should_stop : callable
        As ``Card.play`` describes them.
    """

    def __init__(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> None:
        self._request, self._on_progress = request, on_progress
        self._should_stop = should_stop

    def work_on(self) -> bool:
        """Tell, between two pieces of the work, whether to stop.

        Returns
        -------
        bool
        """
        return self._should_stop()

    def follow(self, samples: Samples) -> int:
        """Report what was recorded.

        Parameters
        ----------
        samples : (n, channels) float32 array
            All of it.

        Returns
        -------
        int, how many frames there are when it ends.
        """
        size: int = samples.shape[0]
        block = max(1, math.ceil(size / _REPORTS))
        for start in range(0, size, block):
            if self._should_stop():
                return start
            self._report(samples[start : start + block], stop=min(start + block, size))
        return size

    def _report(self, fresh: Samples, *, stop: int) -> None:
        self._on_progress(
            Progress(frames_played=stop, frames=self._request.output.size, fresh=fresh)
        )


class InRealTime(Pace):
    """Tells by the clock, from the moment when the work begins, so that it lasts as on a card.

    While the work goes on there is nothing to hear yet: as on a card with much latency, the reports
    then say how much was played, and the first one after it brings all that had become due.
    """

    def __init__(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> None:
        super().__init__(request, on_progress=on_progress, should_stop=should_stop)
        self._nothing = np.zeros((0, request.input_channels), dtype=np.float32)
        self._pause = Event()  # waits without a busy loop; nobody sets it
        self._began = self._told = monotonic()

    def work_on(self) -> bool:
        """Report, if it is time, how much was played; tell whether to stop.

        Returns
        -------
        bool
        """
        if monotonic() - self._told >= 1 / _REPORTS_PER_S:
            self._told = monotonic()
            self._report(self._nothing, stop=self._due(self._request.output.size))
        return super().work_on()

    def follow(self, samples: Samples) -> int:
        """Report what was recorded, as it becomes due.

        Parameters
        ----------
        samples : (n, channels) float32 array
            All of it.

        Returns
        -------
        int, how many frames there are when it ends.
        """
        size: int = samples.shape[0]
        block = math.ceil(self._request.sample_rate_hz / _REPORTS_PER_S)
        start = 0
        while start < size:
            if self._should_stop():
                return start
            stop = min(max(start + block, self._due(size)), size)
            # By the clock, so that what a listener costs does not add up.
            self._pause.wait(max(0.0, stop / self._request.sample_rate_hz - self._elapsed_s()))
            self._report(samples[start:stop], stop=stop)
            start = stop
        return size

    def _elapsed_s(self) -> float:
        return monotonic() - self._began

    def _due(self, size: int) -> int:
        return min(size, int(self._elapsed_s() * self._request.sample_rate_hz))
