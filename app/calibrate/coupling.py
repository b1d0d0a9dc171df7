"""Hear one coupling of an instrument by itself: wait for its tone, stop when it has settled."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from app.calibrate.follow import Followed, Follower
from app.calibrate.listen import listen
from app.errors import BadInputError
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import Instrument
from dsp.calibration.sound_level import sound_level
from hardware.card import Capture, Card, Progress
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.virtual_schema import Calibrator, Virtual

_WAITED_S = 60.0  # in one go; then it is listened anew
_RIG_S = 10.0  # the rig works all of it out before it tells any, and its instrument is on at once


@dataclass(frozen=True, slots=True, kw_only=True)
class ListenFor:
    """What is to be heard.

    Attributes
    ----------
    chain : ChainSnapshot
        With a microphone.
    instrument : Instrument
        What is put on it.
    conditions : Conditions
        In which air.
    after_silence : bool
        Whether the tone counts only after it was gone: the coupling before may still be on.
    on_rig : Calibrator or None
        What sits on the microphone of a rig in software; None: what the chain says.
    """

    chain: ChainSnapshot
    instrument: Instrument
    conditions: Conditions
    after_silence: bool = False
    on_rig: Calibrator | None = None

    @property
    def is_on_rig(self) -> bool:
        """Whether it is heard in software."""
        return self.chain.chain.device.backend == "virtual"

    @property
    def heard_through(self) -> ChainSnapshot:
        """The chain with what sits on the rig's microphone."""
        if self.on_rig is None or not self.is_on_rig:
            return self.chain
        chain = self.chain.chain
        rig = (chain.virtual or Virtual()).model_copy(update={"calibrator": self.on_rig})
        return self.chain.model_copy(update={"chain": chain.model_copy(update={"virtual": rig})})


def hear_coupling(
    wanted: ListenFor,
    *,
    card: Card,
    tell: Callable[[Followed], None],
    hear: Callable[[Progress], None],
    should_stop: Callable[[], bool],
) -> Capture | None:
    """Listen until a tone has settled, or does not within twenty seconds.

    Parameters
    ----------
    wanted : ListenFor
        What is to be heard.
    card : Card
        Of ``wanted.heard_through``.
    tell : callable
        Called about ten times a second.
    hear : callable
        Given everything that comes in.
    should_stop : callable
        Asked at least as often.

    Returns
    -------
    Capture, from shortly before the tone on; None where it was stopped before there was one.

    Raises
    ------
    BadInputError
        No microphone in this chain.
    CardRefusedError, CardLostError
    """
    chain = wanted.chain.chain
    wired = chain.input.pressure
    if wired is None:
        raise BadInputError(
            "input.pressure", "no microphone in this chain", allowed="[input.pressure]"
        )
    while not should_stop():
        follower = Follower(
            wired,
            instrument=wanted.instrument,
            expected_db=sound_level(wanted.instrument, conditions=wanted.conditions).level_db,
            sample_rate_hz=float(chain.device.sample_rate),
            after_silence=wanted.after_silence and not wanted.is_on_rig,
        )
        capture = _listen(
            follower,
            chain=chain,
            channel=wired.channel,
            card=card,
            seconds=_RIG_S if wanted.is_on_rig else _WAITED_S,
            tell=tell,
            hear=hear,
            should_stop=should_stop,
        )
        if should_stop():
            return None
        if follower.is_done or (wanted.is_on_rig and follower.now.heard):
            return _cut(capture, from_s=follower.begins_s)
    return None


def _listen(
    follower: Follower,
    *,
    chain: Chain,
    channel: int,
    card: Card,
    seconds: float,
    tell: Callable[[Followed], None],
    hear: Callable[[Progress], None],
    should_stop: Callable[[], bool],
) -> Capture:
    def follow(progress: Progress) -> None:
        hear(progress)
        if follower.add(progress.fresh[:, channel - 1].astype(np.float64)):
            tell(follower.now)

    return listen(
        card,
        chain=chain,
        seconds=seconds,
        on_progress=follow,
        should_stop=lambda: follower.is_done or should_stop(),
    )


def _cut(capture: Capture, *, from_s: float) -> Capture:
    first = round(from_s * capture.sample_rate_hz)
    return replace(
        capture,
        samples=capture.samples[first:].copy(),
        started_utc=capture.started_utc + timedelta(seconds=from_s),
    )
