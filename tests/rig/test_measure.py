"""``dustcap measure`` through PortAudio: the rig's figures, and what happens when it breaks."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from app.cli.main import main
from app.records.store import Store
from tests.rig.rig_device import CHAIN
from tests.rig.software import wait_until

PROCEDURE = """
name = "through the card"
[excitation]
kind = "log_sweep"
start_hz = 10
stop_hz = 20000
duration_s = DURATION
level_v_rms = 2.0
[quantities.thd]
orders = [2, 3]
[masks.level]
quantity = "level"
upper = [[100, 100], [10000, 100]]
lower = [[100, 60], [10000, 60]]
"""


@pytest.fixture
def files(tmp_path: Path) -> list[str]:
    """Procedure and chain of a program that drives the rig as a sound card."""
    procedure, chain = tmp_path / "procedure.toml", tmp_path / "measuring.toml"
    procedure.write_text(PROCEDURE.replace("DURATION", "1.0"))
    chain.write_text(CHAIN.replace("DEVICE", 'name = "Tram Rig"'))
    return [str(procedure), "--chain", str(chain)]


@pytest.mark.usefixtures("device")
def test_a_take_over_portaudio_has_the_figures_of_one_in_process(
    files: list[str], chain_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = ["--store", str(tmp_path / "store.sqlite"), "--json"]
    assert main(["measure", *files, *store]) == 0
    heard = json.loads(capsys.readouterr().out)
    assert main(["measure", files[0], "--chain", str(chain_file), *store]) == 0
    truth = json.loads(capsys.readouterr().out)
    assert heard["warnings"] == truth["warnings"] == []
    for name, off in (
        ("level", 0.05),  # dB; noise of two takes
        ("impedance", 0.005),  # ohm
        ("impedance_phase", 0.05),  # deg
        ("level_phase", 0.5),  # deg
    ):
        a, b = heard["curves"][name], truth["curves"][name]
        hz = np.array(a["frequency_hz"])
        inside = (hz >= 40) & (hz <= 15_000)
        difference = np.array(a["value"]) - np.array(b["value"])
        assert np.abs(difference[inside]).max() < off, name
    assert heard["numbers"]["polarity"] == truth["numbers"]["polarity"]
    delays = [take["numbers"]["delay_s"]["value"] for take in (heard, truth)]
    assert abs(delays[0] - delays[1]) < 1e-6
    with Store.open(tmp_path / "store.sqlite") as records:
        assert records.count() == 2


def audio_process(program: subprocess.Popen[str]) -> int | None:
    """The process that owns PortAudio, once there is one."""
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rsplit(")", 1)[1].split()
            command = (stat.parent / "cmdline").read_bytes()
        except OSError:
            continue
        if int(fields[1]) == program.pid and b"hardware.soundcard" in command:
            return int(stat.parent.name)
    return None


def plays(program: subprocess.Popen[str]) -> bool:
    """Whether the bar of a run has come to playing."""
    return audio_process(program) is not None


@pytest.mark.usefixtures("device")
def test_a_shot_audio_process_is_exit_3_one_line_and_nothing_kept(
    files: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    procedure = Path(files[0])
    procedure.write_text(PROCEDURE.replace("DURATION", "30.0"))
    store = tmp_path / "store.sqlite"
    with subprocess.Popen(
        [sys.executable, "-m", "app", "measure", *files, "--store", str(store), "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as program:
        wait_until(lambda: plays(program), "the audio process starts")
        pid = audio_process(program)
        assert pid is not None
        os.kill(pid, signal.SIGKILL)
        out, err = program.communicate(timeout=30)
    assert program.returncode == 3, err
    assert out == ""
    assert err.count("\n") == 1
    assert err.startswith("dustcap: ")
    with Store.open(store) as records:
        assert records.count() == 0
    assert not list(tmp_path.glob("**/*.part"))
    procedure.write_text(PROCEDURE.replace("DURATION", "0.5"))
    assert main(["measure", *files, "--store", str(store), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "conforms"


@pytest.mark.usefixtures("device")
def test_a_rate_that_the_card_refuses_is_exit_2_and_one_line(
    files: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chain = Path(files[2])
    chain.write_text(CHAIN.replace("DEVICE", 'name = "Tram Rig"\nsample_rate = 44100'))
    assert main(["measure", *files, "--store", str(tmp_path / "s.sqlite"), "--json"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert not (tmp_path / "s.sqlite").exists()
    assert "44100" in said.err
    assert "48000" in said.err
