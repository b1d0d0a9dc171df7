"""One card plays and another records: two streams started together, a clock each."""

from collections.abc import Callable

import numpy as np

from hardware.chain.schema import Device
from hardware.soundcard.card import SoundCard
from tests.rig.playing import noise, play
from tests.rig.software import CHANNELS, PERIOD, Server, SoftwareCard

MakeCard = Callable[[Device], SoundCard]
Plug = Callable[..., SoftwareCard]


def test_the_output_goes_to_one_card_and_the_input_comes_from_the_other(
    server: Server, plug: Plug, make_card: MakeCard
) -> None:
    player = plug(server, "Tram Player")
    recorder = plug(server, "Tram Recorder", tone=0.25)
    card = make_card(Device(output_name="Tram Player", input_name="Tram Recorder"))
    output, start = noise(0.5), player.frames
    capture = play(card, output)
    assert capture.samples.shape == (output.size, CHANNELS)
    np.testing.assert_array_equal(capture.samples, np.float32(0.25))
    heard = player.heard_since(start)[:, 0]
    where = int(np.flatnonzero(heard)[0] - np.flatnonzero(output)[0])
    np.testing.assert_array_equal(heard[where : where + output.size], output)
    assert not np.any(recorder.heard_since(recorder.frames - 12 * PERIOD))
    assert "Tram Player (JACK Audio Connection Kit) and Tram Recorder (" in capture.card


def test_two_cards_can_be_stopped(server: Server, plug: Plug, make_card: MakeCard) -> None:
    player = plug(server, "Tram Player")
    plug(server, "Tram Recorder", tone=0.25)
    card = make_card(Device(output_name="Tram Player", input_name="Tram Recorder"))
    start = player.frames
    capture = play(card, noise(4), should_stop=lambda: player.frames > start + 24_000)
    assert 0 < capture.samples.shape[0] < 96_000
    # The process is kept: it closed both streams in order.
    before = card.process_id
    play(card, noise(0.2))
    assert card.process_id == before
