"""Chain files, good ones and bad ones; of the bad ones the whole line that is told."""

from pathlib import Path

import pytest

from hardware.chain.load import load_chain, needed_input_channels
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import FileError
from tests.hardware.chain.chain_text import CHAIN


def load(folder: Path, text: str) -> ChainSnapshot:
    path = folder / "chain.toml"
    path.write_text(text)
    return load_chain(path)


BAD = [
    (
        CHAIN.replace("0.22", "-0.1"),
        ":13 input.sense.resistor_ohm: not positive: given -0.1, allowed above 0",
    ),
    (
        CHAIN.replace("resistor_ohm", "resistor_ohms"),
        ":13 input.sense.resistor_ohms: unknown key: "
        "given resistor_ohms, nearest known resistor_ohm",
    ),
    (
        CHAIN.replace("channel = 2", "channel = 1"),
        ":11 input.sense.channel: already taken by input.pressure: "
        "given 1, allowed a channel of its own",
    ),
    (
        CHAIN.replace("channel = 2", "channel = 0"),
        ":11 input.sense.channel: too small: given 0, allowed 1 to 256",
    ),
    (
        CHAIN.partition("[input")[0] + "[input]\n",
        ":6 input: nothing to measure with: allowed pressure, sense, or both",
    ),
    (
        CHAIN + '[device]\nname = "a"\noutput_name = "b"\n',
        ":16 device.output_name: stands beside name: allowed name alone, or both directions",
    ),
    (
        CHAIN + '[device]\noutput_name = "b"\n',
        ":14 device.input_name: missing: allowed a text: output_name names one direction only",
    ),
    (
        CHAIN + '[device]\ninput_name = "b"\n',
        ":14 device.output_name: missing: allowed a text: input_name names one direction only",
    ),
    (
        CHAIN + '[device]\nbackend = "sound card"\n',
        ':15 device.backend: unknown choice: given "sound card", allowed "soundcard" or "virtual"',
    ),
    (
        CHAIN + "[device]\nsample_rate = 4000\n",
        ":15 device.sample_rate: too small: given 4000, allowed 8000 to 384000",
    ),
    (
        CHAIN + "[virtual]\nseed = 3\n",
        ':14 virtual: no rig in this chain: given backend = "soundcard", '
        'allowed backend = "virtual", or no such table',
    ),
    (
        CHAIN + '[device]\nbackend = "virtual"\n[virtual.faults]\ncoil_rubs = 0.1\n',
        ":17 virtual.faults.coil_rubs: unknown key: given coil_rubs, nearest known coil_rub",
    ),
    (
        CHAIN + '[device]\nbackend = "virtual"\n[virtual.faults]\ncoil_rub = 1.5\n',
        ":17 virtual.faults.coil_rub: too large: given 1.5, allowed 0 to 1",
    ),
    (
        CHAIN.replace("full_scale_v = 2.0", "full_scale_v = 2.0\namplifier_gain = 0.0"),
        ":5 output.drive.amplifier_gain: zero: given 0, allowed above or below 0",
    ),
    (
        CHAIN.replace("full_scale_v = 2.0", "full_scale_v = 2.0\ncopy_channel = 1"),
        ":5 output.drive.copy_channel: the driving channel itself: given 1, allowed another than 1",
    ),
    (
        CHAIN + "recalibrate_after_days = 365\n",
        ":10 input.sense.calibrated_on: missing: "
        "allowed a date: recalibrate_after_days counts from it",
    ),
    (
        CHAIN.replace("= 0.05", '= 0.05\nresponse = "mic.csv"'),
        ":10 input.pressure.response: no such file: "
        "given mic.csv, allowed a CSV file, relative to the chain file",
    ),
    (
        CHAIN + "[ambient]\npressure_kpa = 1013.25\n",
        ":15 ambient.pressure_kpa: too large: given 1013.25, allowed 50 to 110",
    ),
]


@pytest.mark.parametrize(("text", "said"), BAD)
def test_a_bad_chain_is_told_in_one_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(FileError) as caught:
        load(tmp_path, text)
    assert str(caught.value) == f"{tmp_path / 'chain.toml'}{said}"


@pytest.mark.parametrize(
    "more",
    [
        '[device]\nbackend = "virtual"\n',
        '[device]\nbackend = "virtual"\nname = "left over from the real card"\n[virtual]\n',
        '[device]\noutput_name = "a"\ninput_name = "b"\n',
        "calibrated_on = 2026-07-27\n",
    ],
    ids=["no [virtual] table", "names beside the rig", "two cards", "no term"],
)
def test_what_is_whole_is_let_through(tmp_path: Path, more: str) -> None:
    assert load(tmp_path, CHAIN + more).chain.name == "bench"


def test_the_response_is_found_beside_the_chain_file(tmp_path: Path) -> None:
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "mic.csv").write_text("20,-1.5,3\n1000,0,0\n20000,2.5,-40\n")
    snapshot = load(tmp_path, CHAIN.replace("= 0.05", '= 0.05\nresponse = "sub/mic.csv"'))
    assert snapshot.response is not None
    assert snapshot.response.db == (-1.5, 0.0, 2.5)
    assert ChainSnapshot.model_validate_json(snapshot.model_dump_json()) == snapshot


def test_as_many_inputs_are_recorded_as_the_highest_channel_needs(tmp_path: Path) -> None:
    chain = load(tmp_path, CHAIN.replace("channel = 2", "channel = 7")).chain
    assert needed_input_channels(chain) == 7
