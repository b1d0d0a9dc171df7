"""Hear what the inputs give while nothing plays, so that a dead one is seen before a take."""

from collections.abc import Callable
from dataclasses import dataclass
from threading import Event

import numpy as np

from hardware.card import Card, PlayRequest, Progress, Samples
from hardware.chain.load import needed_input_channels
from hardware.chain.snapshot import ChainSnapshot
from hardware.open_card import open_card
from hardware.soundcard.levels import levels

_TOLD_EVERY_S = 0.25
_STRETCH_S = 10.0  # of silence in one go; a card is started no more often than that
# The rig in software works for every second that it listens; so it listens at times only.
_RIG_STRETCH_S, _RIG_PAUSE_S = 0.1, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ear:
    """What is listened to.

    Attributes
    ----------
    chain : ChainSnapshot
        Whose card.
    inputs : int
        How many of its inputs; those that the chain wires are always heard.
    """

    chain: ChainSnapshot
    inputs: int = 1


def listen(
    ear: Ear,
    *,
    card: Card,
    tell: Callable[[tuple[float, ...]], None],
    should_stop: Callable[[], bool],
) -> None:
    """Play silence and tell what comes in, until somebody wants the card.

    Parameters
    ----------
    ear : Ear
        Chain and inputs.
    card : Card
        From ``open_ear`` or, for a sound card, the one that takes are made on.
    tell : callable
        Called about four times a second with the level of each input from the first, dB re the
        rms of a sine that touches full scale.
    should_stop : callable
        Asked more often than that.

    Raises
    ------
    CardRefusedError, CardLostError
        The card does not do it, or went away.
    """
    device = ear.chain.chain.device
    is_rig = device.backend == "virtual"
    request = PlayRequest(
        output=np.zeros(
            round((_RIG_STRETCH_S if is_rig else _STRETCH_S) * device.sample_rate),
            dtype=np.float32,
        ),
        output_channel=ear.chain.chain.output.drive.channel,
        input_channels=max(ear.inputs, needed_input_channels(ear.chain.chain)),
        sample_rate_hz=float(device.sample_rate),
        ceiling=1.0,
    )
    pause = Event()  # waits without a busy loop; nobody sets it
    while not should_stop():
        heard = HeardLevels(device.sample_rate, tell=tell)
        card.play(request, on_progress=heard.add, should_stop=should_stop)
        if is_rig:
            heard.tell_now()
            pause.wait(_RIG_PAUSE_S)


def sounds_alike(one: ChainSnapshot, other: ChainSnapshot) -> bool:
    """Tell whether listening need not begin anew because a chain was changed."""
    if one == other:
        return True
    first, second = one.chain, other.chain
    return (
        first.device == second.device
        and first.device.backend == "soundcard"
        and first.output.drive.channel == second.output.drive.channel
        and needed_input_channels(first) == needed_input_channels(second)
    )


def open_ear(chain: ChainSnapshot) -> Card | None:
    """Open a card for listening alone; None where it must be the one that takes are made on.

    The rig in software counts its takes to repeat them, so listening must not use them up.
    """
    return open_card(chain) if chain.chain.device.backend == "virtual" else None


class HeardLevels:
    """Collects what comes in, and tells the levels of every quarter of a second.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    tell : callable
        As ``listen`` takes it.
    """

    def __init__(self, sample_rate_hz: float, *, tell: Callable[[tuple[float, ...]], None]) -> None:
        self._frames, self._tell = _TOLD_EVERY_S * sample_rate_hz, tell
        self._pieces: list[Samples] = []

    def add(self, progress: Progress) -> None:
        """Take what came in."""
        self._pieces.append(progress.fresh)
        if sum(piece.shape[0] for piece in self._pieces) >= self._frames:
            self.tell_now()

    def tell_now(self) -> None:
        """Tell what has come in since the last time."""
        if not self._pieces:
            return
        samples = np.concatenate(self._pieces)
        self._pieces = []
        channels = tuple(range(1, samples.shape[1] + 1))
        self._tell(tuple(one.rms_dbfs for one in levels(samples, channels=channels)))
