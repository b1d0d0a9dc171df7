"""What every kind of run shares: its state, its stop, and playing while it tells how far it is."""

import math
import queue
import threading
from collections.abc import Generator, Iterator
from concurrent.futures import ThreadPoolExecutor

from app.errors import AppError, MeasurementFailedError
from app.measure.events import TRANSITIONS, Entered, Event, Played, State
from app.measure.live import LiveReader, LiveReading
from dsp import DspError
from hardware.card import Capture, Card, PlayRequest, Progress
from hardware.errors import HardwareError

FLOOR_DBFS = -200.0  # stands for silence where a logarithm has no value


class Playing:
    """Plays on a card and yields events; made for one run and thrown away after it.

    Iterate over ``events()`` in any one thread; call ``stop()`` from any other.

    Parameters
    ----------
    card : Card
        What plays and records.
    """

    def __init__(self, card: Card) -> None:
        self._card = card
        self._stop = threading.Event()
        self._state = State.READY

    @property
    def state(self) -> State:
        """Where the run is."""
        return self._state

    def stop(self) -> None:
        """Ramp the output to silence within one block of the card, and keep nothing."""
        self._stop.set()

    def events(self) -> Iterator[Event]:
        """Run, telling what happens as it happens.

        Yields
        ------
        Event; the result last, or ``Entered(STOPPED)`` where the person stopped it.

        Raises
        ------
        AppError, HardwareError, DspError
            The run failed; the output is silent and nothing was kept.
        """
        try:
            yield from self._go()
        except (AppError, HardwareError, DspError):
            self._state = State.FAILED
            raise
        finally:
            self._stop.set()  # whoever stops listening stops the sound, too

    def _go(self) -> Iterator[Event]:
        raise NotImplementedError

    def _enter(self, state: State) -> Entered:
        if state not in TRANSITIONS[self._state]:
            raise MeasurementFailedError(f"run: no way from {self._state.value} to {state.value}")
        self._state = state
        return Entered(state=state)

    def _play(
        self, request: PlayRequest, *, reader: LiveReader | None = None
    ) -> Generator[Event, None, Capture]:
        """Play in a thread of its own, so that progress can be yielded while it plays."""
        reports: queue.SimpleQueue[Progress | None] = queue.SimpleQueue()

        def play() -> Capture:
            try:
                return self._card.play(
                    request, on_progress=reports.put, should_stop=self._stop.is_set
                )
            finally:
                reports.put(None)

        with ThreadPoolExecutor(max_workers=1, thread_name_prefix="play") as pool:
            result = pool.submit(play)
            try:
                while (progress := reports.get()) is not None:
                    live = reader.hear(progress.fresh) if reader else ()
                    yield _played(progress, sample_rate_hz=request.sample_rate_hz, live=live)
            except BaseException:
                self._stop.set()  # the listener left: the pool waits for silence
                raise
            return result.result()


def _played(progress: Progress, *, sample_rate_hz: float, live: tuple[LiveReading, ...]) -> Played:
    return Played(
        played_s=progress.frames_played / sample_rate_hz,
        whole_s=progress.frames / sample_rate_hz,
        input_peak_dbfs=tuple(
            20 * math.log10(peak) if peak > 0 else FLOOR_DBFS for peak in progress.input_peak
        ),
        live=live,
    )
