"""Where a residual may be heard, as a person chooses it: never on the output that drives."""

import pytest

from app.desktop.presenters.hear_words import (
    LOOK,
    OWN,
    Wish,
    card_options,
    first_channel,
    words_found,
    words_while_heard,
)
from app.desktop.run_state import RunState
from app.measure.events import State
from app.procedure.shipped import demo_chain
from hardware.chain.schema import Chain, Device
from hardware.soundcard.messages import DeviceInfo


def device(name: str, *, inputs: int = 2, outputs: int = 2) -> DeviceInfo:
    return DeviceInfo(
        index=0,
        name=name,
        host_api="ALSA",
        max_input_channels=inputs,
        max_output_channels=outputs,
        default_sample_rate_hz=48_000.0,
        is_default=False,
        portaudio="19.7",
    )


def on_card(*, channel: int = 1, copy: int | None = None) -> Chain:
    chain = demo_chain().chain
    drive = chain.output.drive.model_copy(update={"channel": channel, "copy_channel": copy})
    return chain.model_copy(
        update={
            "device": Device(backend="soundcard", name="Bench card", sample_rate=48_000),
            "output": chain.output.model_copy(update={"drive": drive}),
        }
    )


def test_the_rig_makes_no_sound_and_cards_that_only_play_or_record_are_left_out() -> None:
    found = (device("One"), device("Two", inputs=0), device("Three", outputs=0), device("One"))
    rig = card_options(demo_chain().chain, found=found)
    assert [key for key, _ in rig] == ["card:One", LOOK]
    own = card_options(on_card(), found=(*found, device("Bench card")))
    assert [key for key, _ in own] == [OWN, "card:One", LOOK]
    assert [key for key, _ in card_options(demo_chain().chain, found=None)] == ["", LOOK]


@pytest.mark.parametrize(
    ("channel", "copy", "free"), [(1, None, 2), (1, 2, 3), (2, None, 1), (3, 1, 2)]
)
def test_the_first_output_offered_drives_nothing(channel: int, copy: int | None, free: int) -> None:
    chain = on_card(channel=channel, copy=copy)
    assert first_channel(chain, card=OWN) == free
    assert first_channel(chain, card="card:One") == 1


def test_a_wish_without_a_card_has_no_outlet() -> None:
    assert Wish(card="", channel=1).outlet is None
    own, other = Wish(card=OWN, channel=2).outlet, Wish(card="card:One", channel=1).outlet
    assert own is not None
    assert other is not None
    assert (own.card, own.channel, own.peak_dbfs) == (None, 2, -40.0)
    assert other.card == "One"


def test_while_it_sounds_progress_and_stop_are_told() -> None:
    run = RunState(phase=State.SOUNDING, played_s=4.0, whole_s=16.0)
    words = words_while_heard(run, number=7, slower=8)
    assert "take 7, 8 times slower: 4.0 s of 16.0 s" in words.happened
    assert words.progress == 0.25
    assert "Esc" in words.next
    assert "W writes" in words_found(0).next
    assert words_found(2).happened == "2 cards are listed."
