"""A card is found by its name, and what is not clear is asked back, with the names there are."""

import pytest

from hardware.chain.schema import Device
from hardware.errors import CardRefusedError
from hardware.soundcard.devices import choose
from hardware.soundcard.messages import DeviceInfo

JACK, ALSA = "JACK Audio Connection Kit", "ALSA"


def info(index: int, name: str, api: str, *, inputs: int = 2, outputs: int = 2) -> DeviceInfo:
    return DeviceInfo(
        index=index,
        name=name,
        host_api=api,
        max_input_channels=inputs,
        max_output_channels=outputs,
        default_sample_rate_hz=48_000.0,
        is_default=index == 0,
        portaudio="PortAudio V19",
    )


THERE = (
    info(0, "Tram Bench", ALSA),
    info(1, "Tram Bench", JACK),
    info(2, "Tram Bench Two", ALSA),
    info(3, "Line Speaker", ALSA, inputs=0),
    info(4, "Line Microphone", ALSA, outputs=0),
    info(5, "Desk", ALSA),
)


@pytest.mark.parametrize(
    ("device", "output", "inward"),
    [
        (Device(name="Tram Bench", host_api=JACK), 1, 1),
        (Device(name="Tram Bench", host_api="jack"), 1, 1),
        (Device(name="Tram Bench", host_api=ALSA), 0, 0),  # the whole name wins over a part
        (Device(name="bench two"), 2, 2),
        (Device(name="Desk"), 5, 5),
        (Device(host_api=JACK), 1, 1),  # the only one that does both
        (Device(output_name="Line Speaker", input_name="Line Microphone"), 3, 4),
        (Device(output_name="Desk", input_name="Desk"), 5, 5),
    ],
)
def test_a_name_finds_its_device(device: Device, output: int, inward: int) -> None:
    found = choose(THERE, device=device)
    assert (found.output.index, found.input.index) == (output, inward)
    assert found.two_cards == (output != inward)


@pytest.mark.parametrize(
    ("device", "words"),
    [
        (
            Device(name="Tram Bench"),
            r'several cards fit .* "Tram Bench" \(ALSA\), "Tram Bench" \(J',
        ),
        (Device(name="bench", host_api=ALSA), r'several .* "Tram Bench" \(A.*, "Tram Bench Two"'),
        (Device(name="Tram Benhc"), r'no such card .* given "Tram Benhc", there is: "Tram Bench"'),
        (Device(name="Line Speaker"), "no such card .one that plays and records"),
        (Device(output_name="Line Microphone", input_name="Desk"), "no such card .one that plays"),
        (Device(), r"several cards fit .* given no name, there is: .*Desk"),
        (Device(name="Desk", host_api="CoreAudio"), r'host_api: not there.*"ALSA", "JACK Audio'),
    ],
)
def test_what_is_not_clear_is_refused_with_the_names_there_are(device: Device, words: str) -> None:
    with pytest.raises(CardRefusedError, match=words):
        choose(THERE, device=device)


def test_no_device_at_all_is_said() -> None:
    with pytest.raises(CardRefusedError, match=r"no such card .* there is: none$"):
        choose((), device=Device())
    with pytest.raises(CardRefusedError, match=r"allowed: none with a device$"):
        choose((), device=Device(host_api="ALSA"))
