"""What a card cannot do is said in one line before anything is played."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from hardware.chain.schema import Device
from hardware.errors import CardRefusedError
from hardware.soundcard.card import SoundCard
from hardware.soundcard.devices import devices
from tests.rig.playing import noise, play
from tests.rig.software import SoftwareCard


def test_the_card_is_listed_with_its_channels(bench: SoftwareCard) -> None:
    (listed,) = [one for one in devices() if one.name == bench.name]
    assert listed.host_api == "JACK Audio Connection Kit"
    assert (listed.max_input_channels, listed.max_output_channels) == (4, 4)
    assert listed.default_sample_rate_hz == 48_000
    assert listed.portaudio.startswith("PortAudio")


def test_another_sample_rate_is_refused_and_the_right_one_named(card: SoundCard) -> None:
    with pytest.raises(
        CardRefusedError,
        match=r"^Tram Bench: sample rate refused: given 44100 Hz, its own is 48000 Hz",
    ):
        play(card, noise(0.2), sample_rate_hz=44_100.0)
    assert np.any(play(card, noise(0.2)).samples)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"output_channel": 5}, "output 5, allowed 1 to 4"),
        ({"copy_channel": 6}, "output 6, allowed 1 to 4"),
        ({"input_channels": 9}, "input 9, allowed 1 to 4"),
    ],
)
def test_channels_that_the_card_lacks_are_refused(
    card: SoundCard, asked: dict[str, Any], words: str
) -> None:
    with pytest.raises(CardRefusedError, match=f"^Tram Bench: too few .* given {words}$"):
        play(card, noise(0.2), **asked)


def test_without_a_server_the_message_says_what_there_is(
    make_card: Callable[[Device], SoundCard],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "dustcap-test-never-started")
    card = make_card(Device(name="Tram Bench", host_api="JACK Audio Connection Kit"))
    with pytest.raises(CardRefusedError, match=r"^device\.host_api: not there: given \"JACK"):
        play(card, noise(0.2))


def test_a_closed_card_plays_no_more(card: SoundCard) -> None:
    play(card, noise(0.2))
    card.close()
    with pytest.raises(CardRefusedError, match="closed"):
        play(card, noise(0.2))
    assert card.process_id is None
