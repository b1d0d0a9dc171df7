"""A quiet trial for its own sake: what every input would give, before anything is measured."""

from collections.abc import Iterator

from app.measure.events import Event, State, Tried
from app.measure.excite import play_request
from app.measure.level_check import foresee, trial_request
from app.measure.runner import Run


class LevelTrial(Run):
    """Plays a job's excitation 20 dB down, ends in a ``Tried``, and keeps nothing."""

    def _go(self) -> Iterator[Event]:
        job, excitation = self._job, self._excitation
        yield self._enter(State.CHECKING)
        trial = yield from self._play(trial_request(play_request(excitation, job.chain)))
        if self._stop.is_set():
            yield self._enter(State.STOPPED)
            return
        found = foresee(trial, excitation=excitation, chain=job.chain.chain)
        yield self._enter(State.DONE)
        yield Tried(forecast=found)
