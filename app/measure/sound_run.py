"""A sound for a person: played on an output that no unit hangs on, and nothing is kept."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.measure.events import Event, State
from app.measure.playing import Playing
from hardware.card import Card, PlayRequest
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sound:
    """What is to be heard; nothing in it holds a card or a thread, so that it can go anywhere.

    Attributes
    ----------
    chain : ChainSnapshot
        Whose card plays: from ``outlet_chain``.
    request : PlayRequest
        What, where, and how loud at most: from ``outlet_request``.
    """

    chain: ChainSnapshot
    request: PlayRequest


class SoundRun(Playing):
    """Plays a sound on a card.

    Parameters
    ----------
    wanted : Sound
        What to play.
    card : Card
        Of ``wanted.chain``.
    """

    def __init__(self, wanted: Sound, *, card: Card) -> None:
        super().__init__(card)
        self._wanted = wanted

    def _go(self) -> Iterator[Event]:
        yield self._enter(State.SOUNDING)
        yield from self._play(self._wanted.request)
        yield self._enter(State.STOPPED if self._stop.is_set() else State.DONE)
