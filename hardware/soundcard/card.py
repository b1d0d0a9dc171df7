"""A sound card that plays and records, and may go away at any moment without taking us along."""

from collections.abc import Callable

from hardware.card import Capture, PlayRequest, Progress
from hardware.chain.schema import Device
from hardware.errors import CardLostError, CardRefusedError
from hardware.soundcard.check import check_channels, check_shape
from hardware.soundcard.devices import choose
from hardware.soundcard.limiter import check_output
from hardware.soundcard.process import AudioProcess
from hardware.soundcard.reel import new_reel, roomy_folder
from hardware.soundcard.run import Run


class SoundCard:
    """``Card`` over PortAudio, which lives in a child process of its own.

    The process is kept between takes and replaced when it, its driver or the card fails. Use one
    object from one thread at a time, and close it.

    Parameters
    ----------
    device : Device
        The chain file's ``[device]``.
    """

    def __init__(self, device: Device) -> None:
        self._device = device
        self._process: AudioProcess | None = None
        self._closed = False

    @property
    def process_id(self) -> int | None:
        """The child's process number; None where none runs."""
        return None if self._process is None else self._process.pid

    def play(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> Capture:
        """Play ``request`` to its end, or until ``should_stop`` says so, and ramp to silence.

        The first and the last 5 ms are faded; a signal that is silent there passes bit for bit.

        Parameters
        ----------
        request : PlayRequest
            What to play, where, how fast and how loud at most.
        on_progress : callable
            Called about 30 times a second, in the caller's thread.
        should_stop : callable
            Asked as often; True ends the run within one block of the card.

        Returns
        -------
        Capture, (n, channels); a stopped run returns what had been recorded until then.

        Raises
        ------
        CardRefusedError
            Nothing was played: no such card, rate, channel or library.
        CardLostError
            The card, its driver or the audio process went away; the next call starts afresh.
        OutputTooHighError
            Nothing was played: the signal does not fit under the ceiling.
        """
        if self._closed:
            raise CardRefusedError("sound card: closed: given play, allowed nothing any more")
        check_shape(request)
        check_output(request.output, ceiling=request.ceiling)
        run = self._started(request)
        try:
            capture = run.watch(on_progress=on_progress, should_stop=should_stop)
        except BaseException as error:
            silenced = run.silenced()
            if isinstance(error, CardLostError) or not silenced:
                self._drop(in_order=silenced)
            raise
        return capture

    def close(self) -> None:
        """Let go of the device; the card cannot play again."""
        self._closed = True
        self._drop(in_order=True)

    def _started(self, request: PlayRequest) -> Run:
        # What an older process refuses is asked once more of a fresh one: its list of devices
        # may no longer be true, and PortAudio cannot look again while it lives.
        if self._process is not None and self._process.alive:
            try:
                return self._start(self._process, request=request)
            except (CardRefusedError, CardLostError) as error:
                self._drop(in_order=isinstance(error, CardRefusedError))
        self._drop()
        self._process = AudioProcess()
        try:
            return self._start(self._process, request=request)
        except (CardRefusedError, CardLostError) as error:
            self._drop(in_order=isinstance(error, CardRefusedError))
            raise

    def _start(self, process: AudioProcess, *, request: PlayRequest) -> Run:
        cards = choose(process.devices, device=self._device)
        check_channels(cards, request=request)
        folder = roomy_folder(request.output.size, channels=request.input_channels)
        try:
            reel = new_reel(request.output, channels=request.input_channels, folder=folder)
        except OSError as error:
            raise CardRefusedError(
                f"sound card: no room for the recording in {folder}: {error.strerror}"
            ) from error
        try:
            run = Run(process, request=request, cards=cards, reel=reel, block=self._device.block)
            run.start()
        finally:
            reel.forget_name()
        return run

    def _drop(self, *, in_order: bool = False) -> None:
        process, self._process = self._process, None
        if process is not None and in_order:
            process.quit()
        elif process is not None:
            process.kill()
