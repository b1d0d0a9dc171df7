"""Bad input: one line that says where, what, given and allowed; exit 2; nothing written."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from app.cli.main import main
from tests.app.cli.bench_files import (
    CHAIN,
    PROCEDURE,
    RATE,
    Files,
    good_recording,
    write_files,
    write_recording,
)

Recording = NDArray[np.float64]


@pytest.fixture(scope="module")
def recorded() -> Recording:
    return good_recording()


def refused(arguments: list[str], *, capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that must be refused, and return its one line."""
    capsys.readouterr()
    code = main(arguments)
    said = capsys.readouterr()
    assert code == 2, said
    assert said.out == ""
    line = said.err.removesuffix("\n")
    assert "\n" not in line
    return line


FILES = [
    ("unknown key", "chain", "resistor_ohm", "resistor_ohms", "resistor_ohms", "resistor_ohm"),
    ("wrong type", "chain", "= 0.22", '= "much"', "input.sense.resistor_ohm", "much"),
    ("negative", "chain", "= 0.22", "= -0.22", "input.sense.resistor_ohm", "above 0"),
    ("missing channel", "chain", "channel = 2\n", "", "input.sense", "channel"),
    ("same channel twice", "chain", "channel = 2\n", "channel = 1\n", "channel", "input."),
    ("stop below start", "procedure", "stop_hz = 20000", "stop_hz = 10", "stop_hz", "20"),
    ("beyond Nyquist", "procedure", "stop_hz = 20000", "stop_hz = 30000", "stop_hz", "24000"),
    (
        "above the ceiling",
        "procedure",
        "level_v_rms = 2.0",
        "level_v_rms = 6.5",
        "level_v_rms",
        "6",
    ),
    ("masks that cross", "procedure", "[10000, 60]", "[10000, 110]", "masks.level", "lower"),
    ("no such quantity", "procedure", '"level"\n', '"levle"\n', "quantity", "level"),
    ("no such kind", "procedure", '"log_sweep"', '"log_swep"', "excitation.kind", "log_sweep"),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "key", "allowed"),
    [case[1:] for case in FILES],
    ids=[case[0] for case in FILES],
)
def test_a_file_that_is_wrong_is_refused_by_file_and_key(
    file: str,
    old: str,
    new: str,
    key: str,
    allowed: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    texts = {"chain": CHAIN, "procedure": PROCEDURE}
    assert old in texts[file]
    texts[file] = texts[file].replace(old, new)
    files = write_files(tmp_path, **texts)
    before = sorted(tmp_path.iterdir())
    out = tmp_path / "x.wav"
    arguments = [str(files.procedure), "--chain", str(files.chain)]
    for command in (
        ["render", *arguments, "--out", str(out)],
        ["measure", *arguments, "--store", str(tmp_path / "store.sqlite"), "--json"],
    ):
        line = refused(command, capsys=capsys)
        assert f"{file}.toml" in line
        assert key in line
        assert allowed in line
        assert sorted(tmp_path.iterdir()) == before


def short(samples: Recording) -> Recording:
    return samples[: RATE // 2]


def silent(samples: Recording) -> Recording:
    return np.zeros_like(samples)


def quiet_noise(samples: Recording) -> Recording:
    return np.random.default_rng(1).standard_normal(samples.shape) * 1e-4


def clipped(samples: Recording) -> Recording:
    return np.asarray(np.clip(samples * 0.9 / np.abs(samples).max(axis=0) * 1.4, -1.0, 1.0))


def one_channel(samples: Recording) -> Recording:
    return samples[:, :1]


def gap(samples: Recording) -> Recording:
    holed = samples.copy()
    holed[20_000, 1] = np.nan
    return holed


CAPTURES: list[tuple[Callable[[Recording], Recording], str]] = [
    (short, "end"),
    (silent, "silent"),
    (quiet_noise, "nothing like"),
    (clipped, "clipped"),
    (one_channel, "1 to 1"),
    (gap, "channel 2, frame 20000"),
]


@pytest.mark.parametrize(("spoil", "words"), CAPTURES, ids=[c[0].__name__ for c in CAPTURES])
def test_a_recording_that_cannot_be_derived_is_refused(
    spoil: Callable[[Recording], Recording],
    words: str,
    recorded: Recording,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    files = write_files(tmp_path)
    write_recording(files.recording, spoil(recorded))
    assert_nothing_kept(files, words=words, capsys=capsys)


def test_a_recording_at_another_rate_is_refused(
    recorded: Recording, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = write_files(tmp_path)
    write_recording(files.recording, recorded, rate=44_100)
    assert_nothing_kept(files, words="given 44100 Hz, allowed 48000 Hz", capsys=capsys)


@pytest.mark.parametrize("content", [b"", b"a text, not a sound", b"RIFF\x10\0\0\0WAVE"])
def test_a_file_that_is_no_sound_is_refused(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = write_files(tmp_path)
    files.recording.write_bytes(content)
    assert_nothing_kept(files, words="not an audio file", capsys=capsys)


def test_a_recording_that_is_not_there_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert_nothing_kept(write_files(tmp_path), words="no such file", capsys=capsys)


def test_a_whole_recording_is_not_refused(
    recorded: Recording, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = write_files(tmp_path)
    write_recording(files.recording, recorded)
    assert main([*files.derive(), "--json"]) == 0
    assert '"verdict": "conforms"' in capsys.readouterr().out


def assert_nothing_kept(files: Files, *, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    before = sorted(files.folder.iterdir())
    store, out = files.folder / "store.sqlite", files.folder / "out"
    arguments = [*files.derive(), "--store", str(store), "--out", str(out), "--json"]
    line = refused(arguments, capsys=capsys)
    assert words in line
    assert files.recording.name in line
    assert sorted(files.folder.iterdir()) == before


@pytest.mark.parametrize(
    "arguments",
    [["measure"], ["nonsense"], ["derive", "a.wav", "--no-such-option"], ["export", "--out", "x"]],
    ids=["argument missing", "no such command", "no such option", "nothing chosen"],
)
def test_a_command_typed_wrong_is_one_line(
    arguments: list[str],
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert refused(arguments, capsys=capsys).startswith("dustcap: ")
    assert not list(tmp_path.iterdir())
