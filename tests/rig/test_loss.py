"""Whatever goes away in the middle of a take, it is told within 2 s and the next take works."""

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from hardware.card import Progress
from hardware.chain.schema import Device
from hardware.errors import CardLostError, CardRefusedError
from hardware.soundcard.card import SoundCard
from tests.rig.playing import noise, play
from tests.rig.software import Server, SoftwareCard, wait_until

MakeCard = Callable[[Device], SoundCard]
Plug = Callable[..., SoftwareCard]
TOLD_WITHIN_S = 2.0


class Strike:
    """Does its deed once a quarter of a second has been played, and remembers when."""

    def __init__(self, deed: Callable[[], None]) -> None:
        self._deed = deed
        self.at: float | None = None

    def __call__(self, progress: Progress) -> None:
        if self.at is None and progress.frames_played > 12_000:
            self.at = time.monotonic()
            self._deed()

    def told_after_s(self) -> float:
        assert self.at is not None, "nothing was struck"
        return time.monotonic() - self.at


@pytest.fixture
def spare(mortal: Server, plug: Plug, make_card: MakeCard) -> SoundCard:
    """A card on a server that may be hurt, one take old, so that its process is up."""
    plug(mortal, "Tram Spare")
    card = make_card(Device(name="Tram Spare"))
    play(card, noise(0.15))
    return card


def process_of(card: SoundCard) -> int:
    assert card.process_id is not None
    return card.process_id


def test_a_killed_audio_process_is_told_and_the_next_take_plays(spare: SoundCard) -> None:
    killed = process_of(spare)
    strike = Strike(lambda: os.kill(killed, signal.SIGKILL))
    with pytest.raises(CardLostError, match=r"^Tram Spare: card lost .* ended by signal 9$"):
        play(spare, noise(4), on_progress=strike)
    assert strike.told_after_s() < TOLD_WITHIN_S
    assert np.any(play(spare, noise(0.3)).samples)
    assert process_of(spare) != killed


def test_a_killed_audio_process_leaves_silence(
    mortal: Server, plug: Plug, make_card: MakeCard
) -> None:
    software = plug(mortal, "Tram Spare")
    card = make_card(Device(name="Tram Spare"))
    strike = Strike(lambda: os.kill(process_of(card), signal.SIGKILL))
    with pytest.raises(CardLostError):
        play(card, noise(4), on_progress=strike)
    after = software.frames
    wait_until(lambda: software.frames > after + 12_000, "a quarter of a second more")
    assert not np.any(software.heard_since(after + 2048))


def test_a_halted_audio_process_is_told_and_ended(spare: SoundCard) -> None:
    halted = process_of(spare)
    strike = Strike(lambda: os.kill(halted, signal.SIGSTOP))
    with pytest.raises(CardLostError, match=r"^Tram Spare: card lost .* no sample for 1 s$"):
        play(spare, noise(4), on_progress=strike)
    assert strike.told_after_s() < TOLD_WITHIN_S
    assert not Path(f"/proc/{halted}").exists()
    assert np.any(play(spare, noise(0.3)).samples)


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_a_server_that_ends_is_told_and_the_next_one_is_used(
    spare: SoundCard, mortal: Server, *, plug: Plug, how: signal.Signals
) -> None:
    strike = Strike(lambda: mortal.process.send_signal(how))
    with pytest.raises(CardLostError, match=r"^Tram Spare: card lost"):
        play(spare, noise(4), on_progress=strike)
    assert strike.told_after_s() < TOLD_WITHIN_S
    mortal.end()
    with pytest.raises(CardRefusedError, match=r"no such card .* given \"Tram Spare\""):
        play(spare, noise(0.2))
    mortal.restart()
    plug(mortal, "Tram Spare")
    assert np.any(play(spare, noise(0.3)).samples)


def test_a_server_that_ended_between_takes_is_found_again(
    spare: SoundCard, mortal: Server, plug: Plug
) -> None:
    mortal.end()
    mortal.restart()
    plug(mortal, "Tram Spare")
    assert np.any(play(spare, noise(0.3)).samples)


@pytest.mark.parametrize(
    ("killed", "words"), [(False, "exact zeros"), (True, "(exact zeros|no sample)")]
)
def test_a_card_that_is_unplugged_is_told_and_plays_once_it_is_back(
    mortal: Server, plug: Plug, make_card: MakeCard, *, killed: bool, words: str
) -> None:
    software = plug(mortal, "Tram Loose")
    card = make_card(Device(name="Tram Loose"))
    strike = Strike(software.process.kill if killed else software.end)
    with pytest.raises(CardLostError, match=f"^Tram Loose: card lost .* {words}"):
        play(card, noise(4), on_progress=strike)
    assert strike.told_after_s() < TOLD_WITHIN_S
    software.end()
    with pytest.raises(CardRefusedError, match=r"no such card .* given \"Tram Loose\""):
        play(card, noise(0.2))
    plug(mortal, "Tram Loose")
    assert np.any(play(card, noise(0.3)).samples)


def test_one_input_that_falls_silent_is_named_and_the_take_goes_on(
    server: Server, plug: Plug, make_card: MakeCard
) -> None:
    plug(server, "Tram Half", muted=3)
    capture = play(make_card(Device(name="Tram Half")), noise(1.0), copy_channel=3)
    assert capture.lost_channels == (3,)
    assert capture.samples.shape == (48_000, 4)
