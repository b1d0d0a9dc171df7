"""The tutorial on calibrating, typed as it stands: each command ends as the text says."""

import shlex
import shutil
from pathlib import Path

import pytest

from app.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "tutorials" / "a-microphone-and-a-pistonphone.md"
PROGRAM = ".venv/bin/dustcap"
# 1 where the text says so: the stale link at the beginning, the refused one and its health.
ENDS = [1, 0, 1, 1, 0, 0, 0, 0, 0]


def commands() -> list[list[str]]:
    blocks = PAGE.read_text(encoding="utf-8").split("```")[1::2]
    return [shlex.split(line) for block in blocks for line in block.strip().splitlines()]


def test_every_command_of_the_tutorial_ends_as_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    said: list[str] = []
    ended: list[int] = []
    for words in commands():
        if words[0] == "cp":
            shutil.copy(ROOT / words[1], words[2])
            continue
        assert words[0] == PROGRAM
        ended.append(main(words[1:]))
        said.append(capsys.readouterr().out)
    assert ended == ENDS
    assert "stale" in said[0]
    assert "reads as 124 dB where 114 dB was named" in said[2]
    assert "failed" in said[3]
    assert said[-1].count("● proven") == 3  # the terminal input is only dated
    assert list((tmp_path / "paper").glob("*.pdf"))
