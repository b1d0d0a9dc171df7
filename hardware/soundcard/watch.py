"""Tells a card that went away from one that merely records little: by runs of exact zeros."""

import numpy as np

from dsp import Ints
from hardware.card import Samples

# Longer than any latency that is met: a converter without noise, wired back, is exactly zero for
# as long after a pause as the signal takes to come round.
_LONGEST_ZERO_S = 0.1
_LONGEST_START_S = 1.0
# While nothing plays, an input of few bits may rest at zero for a while.
_LONGEST_IDLE_S = 2.0
_LONGEST_PAUSE_S = 0.005  # zeros in the output up to here are not a pause


class InputWatch:
    """Follows a recording as it grows and remembers which inputs fell to exact zeros.

    A converter's own noise keeps the lowest bits moving, so a run of exact zeros longer than
    0.1 s (and longer than four blocks) on an input that had shown a signal means that nothing
    arrives any more. Pauses in the output do not count; where it is silent throughout, all of it
    counts, and 2 s are too long.

    Parameters
    ----------
    output : (n,) float32 array
        What is played.
    channels : int
        Inputs recorded.
    sample_rate_hz : float
        Hz.
    block : int
        Samples, 0 where the driver chooses.
    """

    def __init__(
        self, output: Samples, *, channels: int, sample_rate_hz: float, block: int
    ) -> None:
        self._sounding = _sounding(output, pause=round(_LONGEST_PAUSE_S * sample_rate_hz))
        self._silent_output = not output.any()
        longest_s = _LONGEST_IDLE_S if self._silent_output else _LONGEST_ZERO_S
        self._longest = max(longest_s * sample_rate_hz, 4 * block)
        self._longest_start = _LONGEST_START_S * sample_rate_hz
        self._seen = 0
        self._zero_since = np.zeros(channels, dtype=np.int64)
        self._alive = np.zeros(channels, dtype=np.bool_)
        self._lost = np.zeros(channels, dtype=np.bool_)

    @property
    def lost_channels(self) -> tuple[int, ...]:
        """Inputs, counted from 1, that fell to exact zeros at some time."""
        return tuple(int(channel) + 1 for channel in np.flatnonzero(self._lost))

    @property
    def card_gone(self) -> bool:
        """Whether no input gives anything but exact zeros any more."""
        silent_for = self._sounding[self._seen] - self._sounding[self._zero_since]
        if not self._alive.any():
            return not self._silent_output and bool((silent_for > self._longest_start).all())
        return bool((silent_for > self._longest)[self._alive].all())

    @property
    def never_heard(self) -> bool:
        """Whether every input was exactly zero from the first sample on, under a long output."""
        if self._silent_output or self._alive.any():
            return False
        return bool(self._sounding[self._seen] > self._longest)

    def look(self, recorded: Samples) -> None:
        """Take notice of what is new.

        Parameters
        ----------
        recorded : (m, channels) float32 array
            All that was recorded so far, full-scale units.
        """
        fresh = recorded[self._seen :]
        for channel in range(fresh.shape[1]):
            self._follow(channel, heard=np.flatnonzero(fresh[:, channel]) + self._seen)
        self._seen = recorded.shape[0]
        silent_for = self._sounding[self._seen] - self._sounding[self._zero_since]
        self._lost |= self._alive & (silent_for > self._longest)

    def _follow(self, channel: int, *, heard: Ints) -> None:
        if not heard.size:
            return
        ends = self._sounding[heard]
        starts = self._sounding[np.concatenate(([self._zero_since[channel]], heard[:-1] + 1))]
        silent_for = ends - starts
        if not self._alive[channel]:
            silent_for = silent_for[1:]
        self._lost[channel] |= bool((silent_for > self._longest).any())
        self._alive[channel] = True
        self._zero_since[channel] = heard[-1] + 1


def _sounding(output: Samples, *, pause: int) -> Ints:
    # (n + 1,): how many samples before each were not part of a pause.
    n = output.size
    on = output != 0
    if not on.any():  # a minute of listening must not wait for what follows
        return np.arange(n + 1, dtype=np.int64)
    heard = np.concatenate(([0], np.cumsum(on)))
    around = (
        heard[np.minimum(np.arange(n) + pause + 1, n)] - heard[np.maximum(np.arange(n) - pause, 0)]
    )
    return np.concatenate(([0], np.cumsum(around > 0))).astype(np.int64)
