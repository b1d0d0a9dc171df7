"""Inside the audio process: one take through PortAudio, by callback."""

from collections.abc import Callable
from pathlib import Path
from time import sleep
from typing import Any

from hardware.card import Samples
from hardware.soundcard.limiter import Limiter
from hardware.soundcard.messages import Event, PlayOrder, Reply
from hardware.soundcard.reel import Counter, Reel

_SILENT_BLOCKS = 2
_POLL_S = 0.005


class Take:
    """The callbacks and what they touch; nothing in them waits, prints or allocates.

    PortAudio hands each the samples, then the number of frames, the time and its flags.

    Parameters
    ----------
    order : PlayOrder
        What to play.
    reel : Reel
        Where to record.

    Raises
    ------
    OutputTooHighError
        The signal in shared memory does not fit under the ceiling.
    """

    def __init__(self, order: PlayOrder, *, reel: Reel) -> None:
        self._lanes = order.lanes
        self._channels = order.input_channels
        self._reel = reel
        self._counters = reel.counters
        self._limiter = Limiter(
            reel.output, ceiling=order.ceiling, sample_rate_hz=order.sample_rate_hz
        )
        reel.input.fill(0)  # touches every page, so that the callback meets no page fault

    def finished(self) -> bool:
        """Tell whether silence is out and everything asked for is in.

        Returns
        -------
        bool
        """
        silent = self._counters[Counter.SILENT_BLOCKS] >= _SILENT_BLOCKS
        complete = self._reel.recorded == self._reel.input.shape[0]
        return bool(silent and (complete or self._counters[Counter.STOP]))

    def both(self, came: Samples, goes: Samples, *about: object) -> None:
        """Serve a stream that plays and records on one clock."""
        self._record(came, flags=about[-1])
        self._play(goes, flags=None)

    def plays(self, goes: Samples, *about: object) -> None:
        """Serve the stream of a card that only plays."""
        self._play(goes, flags=about[-1])

    def records(self, came: Samples, *about: object) -> None:
        """Serve the stream of a card that only records; it waits for the first block played."""
        if self._counters[Counter.PLAYED]:
            self._record(came, flags=about[-1])

    def _play(self, goes: Samples, *, flags: object) -> None:
        counters = self._counters
        if self._limiter.ended:
            counters[Counter.SILENT_BLOCKS] += 1
        self._limiter.fill(goes, lanes=self._lanes, stop=bool(counters[Counter.STOP]))
        counters[Counter.PLAYED] = self._limiter.played
        self._flagged(flags)

    def _record(self, came: Samples, *, flags: object) -> None:
        counters = self._counters
        at = int(counters[Counter.RECORDED])
        count = 0 if self._limiter.ended and counters[Counter.STOP] else came.shape[0]
        count = min(count, self._reel.input.shape[0] - at)
        self._reel.input[at : at + count] = came[:count, : self._channels]
        counters[Counter.RECORDED] = at + count
        self._flagged(flags)

    def _flagged(self, flags: Any) -> None:
        # A stream that fills its first buffers says so; nothing is lost then.
        if flags and not flags.priming_output:
            self._counters[Counter.DROPOUTS] += 1


def run(
    order: PlayOrder,
    *,
    portaudio: Any,
    say: Callable[[Reply], None],
    playing: Callable[[Reel | None], None],
) -> None:
    """Play one order to its end and say how it went.

    Parameters
    ----------
    order : PlayOrder
        What to play.
    portaudio : module
        ``sounddevice``, initialised.
    say : callable
        Sends a reply.
    playing : callable
        Told which reel must be stopped should the other process vanish; None afterwards.
    """
    reel = Reel(Path(order.reel), frames=order.frames, channels=order.input_channels)
    say(Reply(event=Event.MAPPED))
    take = Take(order, reel=reel)
    try:
        streams = _open(order, take=take, portaudio=portaudio)
    except portaudio.PortAudioError as error:
        say(_refused(error))
        return
    playing(reel)
    try:
        for stream in streams:
            stream.start()
    except portaudio.PortAudioError as error:
        say(_refused(error))
        return
    say(Reply(event=Event.STARTED))
    while not take.finished():
        if not all(stream.active for stream in streams):
            # Nothing is closed here: with its server gone, PortAudio would wait for ever.
            say(Reply(event=Event.LOST, reason="the driver stopped by itself"))
            return
        sleep(_POLL_S)
    for stream in streams:
        stream.stop()  # after what it still holds has been played
        stream.close()
    playing(None)
    say(Reply(event=Event.DONE))


def _open(order: PlayOrder, *, take: Take, portaudio: Any) -> list[Any]:
    # The one that records comes first, so that it runs when the other begins to play.
    common = {"samplerate": order.sample_rate_hz, "dtype": "float32"}
    outward = common | {"device": order.output_device, "channels": order.output_open}
    inward = common | {"device": order.input_device, "channels": order.input_open}
    portaudio.check_output_settings(**outward)
    portaudio.check_input_settings(**inward)
    exact = {"blocksize": order.block, "dither_off": True}
    if order.two_streams:
        return [
            portaudio.InputStream(**inward, **exact, callback=take.records),
            portaudio.OutputStream(**outward, **exact, callback=take.plays),
        ]
    return [
        portaudio.Stream(
            **common,
            **exact,
            device=(order.input_device, order.output_device),
            channels=(order.input_open, order.output_open),
            callback=take.both,
        )
    ]


def _refused(error: Exception) -> Reply:
    words = str(error.args[0]) if error.args else str(error)
    code = error.args[1] if len(error.args) > 1 and isinstance(error.args[1], int) else 0
    return Reply(event=Event.REFUSED, reason=words, code=code)
