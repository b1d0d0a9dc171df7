"""One take on a sound card, seen from the window's process."""

from collections.abc import Callable
from datetime import UTC, datetime
from time import monotonic

from hardware.card import Capture, PlayRequest, Progress
from hardware.errors import CardLostError, CardRefusedError
from hardware.soundcard.check import outputs_used, refusal_text
from hardware.soundcard.devices import CardPair
from hardware.soundcard.messages import Event, PlayOrder, Reply
from hardware.soundcard.process import AudioProcess
from hardware.soundcard.reel import Reel
from hardware.soundcard.watch import InputWatch

_POLL_S = 0.03  # a little over 30 reports a second
# Wireless and sleeping devices take their time; JACK waits 5 s for a client that was killed.
_START_LIMIT_S = 10.0
_STALL_LIMIT_S = 1.0
_STALL_BLOCKS = 4
_SILENCE_LIMIT_S = 0.5


class Run:
    """One take in the making: ordered, followed to its end, or given up with a reason.

    Parameters
    ----------
    process : AudioProcess
        Plays it.
    request : PlayRequest
        What to play.
    cards : CardPair
        On what.
    reel : Reel
        The memory shared with ``process``, holding the output already.
    block : int
        Samples, 0 where the driver chooses.
    """

    def __init__(
        self,
        process: AudioProcess,
        *,
        request: PlayRequest,
        cards: CardPair,
        reel: Reel,
        block: int,
    ) -> None:
        self._process, self._request, self._cards = process, request, cards
        self._reel, self._block = reel, block
        self._watch = InputWatch(
            request.output,
            channels=request.input_channels,
            sample_rate_hz=request.sample_rate_hz,
            block=block,
        )
        self._reported = 0
        self._started_utc = datetime.now(UTC)
        self._finished = False
        self._deaf = False  # whether the process can no longer do what it is told

    def start(self) -> None:
        """Order the take and wait until the card runs.

        Raises
        ------
        CardRefusedError, CardLostError
        """
        self._process.order(self._order())
        until = monotonic() + _START_LIMIT_S
        while (left := until - monotonic()) > 0:
            reply = self._process.hear(timeout_s=left)
            if reply is not None and self._has_started(reply):
                return
        raise CardLostError(f"{self._cards.output.name}: did not start within {_START_LIMIT_S:g} s")

    def watch(
        self, *, on_progress: Callable[[Progress], None], should_stop: Callable[[], bool]
    ) -> Capture:
        """Follow the take to its end.

        Parameters
        ----------
        on_progress, should_stop : callable
            As ``Card.play`` describes them.

        Returns
        -------
        Capture

        Raises
        ------
        CardLostError
        """
        limit_s = max(_STALL_LIMIT_S, _STALL_BLOCKS * self._block / self._request.sample_rate_hz)
        last, moved = -1, monotonic()
        while True:
            done = self._heard_end()
            on_progress(self._progress())
            if done:
                return self._capture()
            if (at := self._reel.played + self._reel.recorded) != last:
                last, moved = at, monotonic()
            elif monotonic() - moved > limit_s:
                self._deaf = True
                raise self._lost(f"no sample for {limit_s:g} s")
            if should_stop():
                self._reel.stop()

    def silenced(self) -> bool:
        """Ramp to silence after an error of the caller's; tell whether the card said that it did.

        Returns
        -------
        bool
        """
        self._reel.stop()
        if self._deaf:
            return False
        until = monotonic() + _SILENCE_LIMIT_S
        while not self._finished and (left := until - monotonic()) > 0:
            reply = self._process.hear(timeout_s=left)
            self._finished = reply is not None and reply.event is Event.DONE
            if reply is not None and reply.event in {Event.ENDED, Event.LOST}:
                return False
        return self._finished

    def _has_started(self, reply: Reply) -> bool:
        name = self._cards.output.name
        match reply.event:
            case Event.STARTED:
                self._started_utc = datetime.now(UTC)
                return True
            case Event.REFUSED:
                raise CardRefusedError(
                    refusal_text(reply, request=self._request, cards=self._cards)
                )
            case Event.LOST | Event.ENDED:
                raise CardLostError(f"{name}: the audio process ended before the card started")
            case _:
                return False

    def _heard_end(self) -> bool:
        """Listen for one poll; True at the end of the take."""
        reply = self._process.hear(timeout_s=_POLL_S)
        self._watch.look(self._reel.input[: self._reel.recorded])
        if self._watch.card_gone:
            raise self._lost("every input fell to exact zeros while it played")
        if reply is None:
            return False
        match reply.event:
            case Event.DONE:
                self._finished = True
                if self._watch.never_heard:
                    raise self._lost("every input stayed at exact zeros")
                return True
            case Event.ENDED:
                self._deaf = True
                raise self._lost(f"the audio process ended {self._process.exit_words()}")
            case Event.LOST:
                self._deaf = True
                raise self._lost(reply.reason)
            case _:
                return False

    def _lost(self, why: str) -> CardLostError:
        at_s = self._reel.played / self._request.sample_rate_hz
        return CardLostError(f"{self._cards.output.name}: card lost after {at_s:.2f} s: {why}")

    def _progress(self) -> Progress:
        recorded = self._reel.recorded
        fresh = self._reel.input[self._reported : recorded]
        self._reported = recorded
        return Progress(
            frames_played=self._reel.played, frames=self._request.output.size, fresh=fresh
        )

    def _capture(self) -> Capture:
        return Capture(
            samples=self._reel.input[: self._reel.recorded].copy(),
            sample_rate_hz=self._request.sample_rate_hz,
            started_utc=self._started_utc,
            card=self._cards.text,
            dropouts=self._reel.dropouts,
            lost_channels=self._watch.lost_channels,
        )

    def _order(self) -> PlayOrder:
        request, out, back = self._request, self._cards.output, self._cards.input
        lanes = tuple(channel - 1 for channel in outputs_used(request))
        # A driver given one channel may spread it over two: open a pair where there is one.
        return PlayOrder(
            reel=str(self._reel.path),
            frames=request.output.size,
            input_channels=request.input_channels,
            ceiling=request.ceiling,
            sample_rate_hz=request.sample_rate_hz,
            block=self._block,
            output_device=out.index,
            input_device=back.index,
            output_open=max(max(lanes) + 1, min(2, out.max_output_channels)),
            input_open=max(request.input_channels, min(2, back.max_input_channels)),
            lanes=lanes,
            two_streams=self._cards.two_cards,
        )
