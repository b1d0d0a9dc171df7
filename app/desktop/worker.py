"""The one long-lived thread for work that must not hold up the window."""

from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event
from typing import Any, TypeVar

from PySide6.QtCore import QObject, QThread, QTimer, Signal, Slot

from app.desktop.refusal import Refusal
from app.errors import AppError

T = TypeVar("T")

# Turns of the event loop that the window has first: what has just come is painted in a few, and
# two threads that both work in Python hold each other up.
_TURNS = 8


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Job:
    topic: str
    number: int
    work: Callable[[], Any]
    is_done: Event = field(default_factory=Event)
    answers: list["_Answer"] = field(default_factory=list)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Answer:
    job: _Job
    value: Any = None
    refusal: Exception | None = None


class _Bench(QObject):
    answered = Signal(object)

    def __init__(self, latest: dict[str, int]) -> None:
        super().__init__()
        self._latest = latest

    @Slot(object)
    def do(self, job: _Job) -> None:
        if self._latest.get(job.topic) != job.number:
            return  # somebody has asked again meanwhile
        # A defect of ours goes on to the hook for those; whoever asked must still hear of it.
        answer = _Answer(job=job, refusal=AppError(f"{job.topic}: stopped by a defect of Dustcap"))
        try:
            answer = _Answer(job=job, value=job.work())
        except Refusal as error:
            answer = _Answer(job=job, refusal=error)
        finally:
            job.answers.append(answer)
            job.is_done.set()
            self.answered.emit(answer)


class Worker(QObject):
    """Does one job after another in a thread of its own; of each topic only the latest counts.

    ``ask`` from the window's thread; answers arrive there, too. An answer to a question that has
    been asked anew is dropped. ``close`` waits for the job in hand. Work begins a few turns of the
    event loop later, which are over at once where nothing is to be painted.
    """

    _asked = Signal(object)
    busy_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._latest: dict[str, int] = {}
        self._then: dict[str, tuple[Callable[[Any], None], Callable[[Exception], None]]] = {}
        self._ready: list[_Job] = []
        self._turns_left = 0
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._let_window_go_first)
        self._thread = QThread()
        self._bench = _Bench(self._latest)
        self._bench.moveToThread(self._thread)
        self._asked.connect(self._bench.do)
        self._bench.answered.connect(self._take_answer)
        self._thread.start()

    def ask(
        self,
        topic: str,
        work: Callable[[], T],
        *,
        then: Callable[[T], None],
        refused: Callable[[Exception], None],
        patience_s: float = 0.0,
    ) -> None:
        """Have ``work`` done elsewhere and ``then`` called here with what it returns.

        Parameters
        ----------
        topic : str
            A newer question on the same topic makes this one void.
        work : callable
            Must touch no widget.
        then, refused : callable
            Called in the window's thread, with the answer or with what a person should read.
        patience_s : float
            What follows a hand begins now instead, where nothing else is being done, and the window
            waits for it so long: all is then painted in one go, and two threads that both work in
            Python do not hold each other up.
        """
        number, is_idle = self._latest.get(topic, 0) + 1, not self._then
        self._latest[topic] = number
        self._then[topic] = (then, refused)
        self.busy_changed.emit(True)
        job = _Job(topic=topic, number=number, work=work)
        if patience_s and is_idle:
            self._asked.emit(job)
            if job.is_done.wait(patience_s):
                self._take_answer(job.answers[0])
            return
        if not self._ready:  # whoever asks again and again holds nobody up
            self._turns_left = _TURNS
            self._turn.start()
        self._ready.append(job)

    def forget(self, topic: str) -> None:
        """Make the pending question on a topic void."""
        self._latest[topic] = self._latest.get(topic, 0) + 1
        self._then.pop(topic, None)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is still to come."""
        return bool(self._then)

    def close(self) -> None:
        """Drop what is pending, wait for what is in hand, end the thread."""
        for topic in tuple(self._then):
            self.forget(topic)
        self._thread.quit()
        self._thread.wait()

    @Slot()
    def _let_window_go_first(self) -> None:
        self._turns_left -= 1
        if self._turns_left > 0:
            self._turn.start()
            return
        ready, self._ready = self._ready, []
        for job in ready:
            self._asked.emit(job)

    @Slot(object)
    def _take_answer(self, answer: _Answer) -> None:
        job = answer.job
        if self._latest.get(job.topic) != job.number or job.topic not in self._then:
            return  # asked anew, or taken already
        then, refused = self._then.pop(job.topic)
        self.busy_changed.emit(self.is_busy)
        if answer.refusal is not None:
            refused(answer.refusal)
        else:
            then(answer.value)
