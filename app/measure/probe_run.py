"""A probe of a link: plays, records every input, and keeps nothing."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.measure.events import Event, Probed, State
from app.measure.playing import Playing
from hardware.card import Capture, Card, PlayRequest
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Probing:
    """What is to be played; nothing in it holds a card or a thread, so that it can go anywhere.

    Attributes
    ----------
    chain : ChainSnapshot
        Whose card plays; of the rig in software with what lies in the unit's place.
    request : PlayRequest
        What to play, and how loud at most.
    times : int
        How often, one after the other.
    """

    chain: ChainSnapshot
    request: PlayRequest
    times: int = 1


class ProbeRun(Playing):
    """Plays a probe on a card; ends in a ``Probed``.

    Parameters
    ----------
    wanted : Probing
        What to play.
    card : Card
        Of ``wanted.chain``.
    """

    def __init__(self, wanted: Probing, *, card: Card) -> None:
        super().__init__(card)
        self._wanted = wanted

    def _go(self) -> Iterator[Event]:
        yield self._enter(State.PROBING)
        captures: list[Capture] = []
        for _ in range(self._wanted.times):
            captures.append((yield from self._play(self._wanted.request)))
            if self._stop.is_set():
                yield self._enter(State.STOPPED)
                return
        yield self._enter(State.DONE)
        yield Probed(captures=tuple(captures))
