"""The rig as a card: plays into the unit in software, records what its microphone hears."""

from collections.abc import Callable
from datetime import UTC, datetime

import numpy as np

from hardware.card import Capture, PlayRequest, Progress, Samples
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import CardRefusedError
from hardware.soundcard.check import check_shape
from hardware.soundcard.limiter import Limiter
from hardware.virtual.bench import bench_of
from hardware.virtual.chance import chance_of_take
from hardware.virtual.in_truth import in_truth
from hardware.virtual.pace import InRealTime, Pace
from hardware.virtual.record import record

_LOWEST_HZ, _HIGHEST_HZ = 8_000.0, 384_000.0


class VirtualCard:
    """``Card`` over the rig: no audio system needed, and a truth to compare with.

    A new object repeats its first take bit for bit, then its second one; the unit is the same in
    all of them, noise and chance are not. It limits and fades like a sound card.

    Parameters
    ----------
    snapshot : ChainSnapshot
        The chain; without a ``[virtual]`` table the rig's defaults hold.

    Raises
    ------
    CardRefusedError
        No unit of that name.
    """

    def __init__(self, snapshot: ChainSnapshot) -> None:
        self._chain, self._bench = in_truth(snapshot.chain), bench_of(snapshot)
        self._takes = 0
        self._closed = False

    def play(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> Capture:
        """Play ``request`` to its end, or until ``should_stop`` says so.

        Parameters
        ----------
        request : PlayRequest
            What to play, where, how fast and how loud at most.
        on_progress : callable
            Called about 30 times a second in real time, else 20 times, in the caller's thread.
        should_stop : callable
            Asked as often; True ends the run.

        Returns
        -------
        Capture, (n, channels); a stopped run returns what had been recorded until then.

        Raises
        ------
        CardRefusedError
            No signal, no such rate, or closed.
        OutputTooHighError
            The signal does not fit under the ceiling.
        """
        if self._closed:
            raise CardRefusedError("virtual card: closed: given play, allowed nothing any more")
        played = _played(request)
        started = datetime.now(UTC)
        take, self._takes = self._takes, self._takes + 1
        seed = self._bench.rig.seed
        pace = self._pace(request, on_progress=on_progress, should_stop=should_stop)
        samples = record(
            played.astype(np.float64),
            request=request,
            chain=self._chain,
            bench=self._bench,
            chance=chance_of_take(seed, take=take),
            should_stop=pace.work_on,
        )
        return Capture(
            samples=samples[: pace.follow(samples)],
            sample_rate_hz=request.sample_rate_hz,
            started_utc=started,
            card=f"virtual rig, unit {self._bench.rig.unit}, seed {seed}",
        )

    def close(self) -> None:
        """Let go of the rig; the card cannot play again."""
        self._closed = True

    def _pace(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> Pace | InRealTime:
        kind = InRealTime if self._bench.rig.real_time else Pace
        return kind(request, on_progress=on_progress, should_stop=should_stop)


def _played(request: PlayRequest) -> Samples:
    # What leaves the converter: checked, faded, and never beyond the ceiling.
    check_shape(request)
    if not _LOWEST_HZ <= request.sample_rate_hz <= _HIGHEST_HZ:
        raise CardRefusedError(
            f"virtual card: sample rate refused: given {request.sample_rate_hz:g} Hz, "
            f"allowed {_LOWEST_HZ:g} to {_HIGHEST_HZ:g} Hz"
        )
    limiter = Limiter(
        request.output, ceiling=request.ceiling, sample_rate_hz=request.sample_rate_hz
    )
    block = np.zeros((request.output.size, 1), dtype=np.float32)
    limiter.fill(block, lanes=(0,), stop=False)
    return block[:, 0]
