"""``dustcap limits`` as a quality lead types it: from a customer's table to what a line runs."""

import io
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from app.cli.main import main
from app.procedure.limit_set import load_limit_set
from app.procedure.load import load_procedure
from app.procedure.mask_schema import Mask
from app.procedure.schema import LimitsNamed
from app.procedure.shipped import find_procedure, shipped
from app.records.store import Store

LEVEL = Mask(quantity="level", upper=((100.0, 90.0), (1000.0, 91.0)))
TEXT = """\
name = "T4 line"
[masks.level]
quantity = "level"
upper = [[100.0, 90.0], [1000.0, 91.0]]
"""


@pytest.fixture
def place(tmp_path: Path) -> str:
    (tmp_path / "limits.toml").write_text(TEXT, encoding="utf-8")
    tighter = TEXT.replace("91.0", "90.5")
    (tmp_path / "tighter.toml").write_text(tighter, encoding="utf-8")
    file = tmp_path / "records.sqlite"
    Store.open(file).close()
    return str(file)


@pytest.fixture
def say(place: str, capsys: pytest.CaptureFixture[str]) -> Any:
    """Type a command about that store; give back what it printed as JSON."""

    def typed(*words: str) -> Any:
        assert main(["limits", *words, "--store", place, "--json"]) == 0
        said = capsys.readouterr()
        assert said.err == ""
        return json.loads(said.out)

    return typed


@pytest.fixture
def refused(place: str, capsys: pytest.CaptureFixture[str]) -> Any:
    """Type a command that must be refused; give back its one line."""

    def typed(*words: str) -> str:
        assert main(["limits", *words, "--store", place]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        return said.err

    return typed


def signed(why: str = "stops buzzing units") -> list[str]:
    return ["--by", "QC", "--why", why]


def test_a_file_becomes_what_lines_run(say: Any, tmp_path: Path) -> None:
    first = say("save", str(tmp_path / "limits.toml"), *signed("as the customer asks"))
    assert (first["set"], first["revision"], first["state"]) == ("T4 line", 1, "draft")
    assert (first["by"], first["why"]) == ("QC", "as the customer asks")
    assert say("approve", "T4 line@1", *signed())["state"] == "approved"
    second = say("save", str(tmp_path / "tighter.toml"), "--set", "T4 line", *signed())
    assert second["revision"] == 2
    (change,) = say("difference", "T4 line@1", "T4 line@2")["changes"]
    assert change["words"] == "Level: upper at 1 kHz from 91 to 90.5 dB, 1 point moved"
    assert change["effect"] == "tighter"
    say("approve", "T4 line@2", "--seen", "1", *signed())
    listed = say("list")["revisions"]
    assert [(one["revision"], one["state"]) for one in listed] == [(2, "approved"), (1, "retired")]
    assert say("retire", "T4 line@2", *signed("unit is out of production"))["state"] == "retired"
    shown = say("show", "T4 line@2")
    assert shown["masks"]["level"]["upper"] == [[100.0, 90.0], [1000.0, 90.5]]
    assert shown["retired"]["why"] == "unit is out of production"


def test_who_held_a_draft_against_another_revision_is_told(
    say: Any, refused: Any, tmp_path: Path
) -> None:
    say("save", str(tmp_path / "limits.toml"), *signed())
    say("save", str(tmp_path / "tighter.toml"), *signed())
    say("approve", "T4 line@1", *signed())
    line = refused("approve", "T4 line@2", "--seen", "0", *signed())
    assert "revision 1 was approved by QC" in line
    assert [one["state"] for one in say("list", "--set", "T4 line")["revisions"]] == [
        "draft",
        "approved",
    ]


@pytest.mark.parametrize("form", ["toml", "csv"])
def test_a_revision_travels_as_a_file(say: Any, tmp_path: Path, form: str) -> None:
    say("save", str(tmp_path / "limits.toml"), *signed())
    out = tmp_path / f"out.{form}"
    assert say("export", "T4 line@1", "--out", str(out)) == {"file": str(out), "masks": ["level"]}
    assert say("difference", "T4 line@1", str(out)) == {"changes": []}
    if form == "toml":
        found = load_limit_set(out)
        assert (found.name, found.revision, found.by) == ("T4 line", 1, "QC")
    # The same masks once more are no new revision; under another name they are a set.
    assert say("save", str(out), "--set", "T9 line", *signed())["revision"] == 1


def test_the_masks_of_a_procedure_are_limits_to_start_from(say: Any, tmp_path: Path) -> None:
    file, out = shipped()["line-check"], tmp_path / "draft.toml"
    say("export", str(file), "--out", str(out))
    found = load_limit_set(out)
    assert found.procedure == "line check"
    assert found.masks == find_procedure("line-check").procedure.masks
    assert say("difference", str(file), str(out)) == {"changes": []}


def test_a_pasted_table_becomes_a_file_of_limits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("f/kHz;max\n0,1;90,0\n1;91,0\n"))
    out = tmp_path / "out.toml"
    words = ["limits", "paste", "--quantity", "level", "--mask", "window", "--out", str(out)]
    assert main(words) == 0
    said = capsys.readouterr()
    assert "2 points, 100 Hz to 1 kHz" in said.out
    assert said.err == "read as numbers with a decimal comma\nread as frequencies in kHz\n"
    assert load_limit_set(out).masks == {"window": LEVEL}
    table = tmp_path / "table.txt"
    table.write_text("100\t90\n1000\t91\n", encoding="utf-8")
    words = ["limits", "paste", str(table), "--quantity", "level", "--json"]
    assert main([*words, "--columns", "frequency, upper"]) == 0
    assert json.loads(capsys.readouterr().out)["masks"]["level"]["quantity"] == "level"
    assert main(words) == 2
    assert "no heads over its columns" in capsys.readouterr().err


def test_an_approved_revision_is_written_into_a_procedure(
    say: Any, refused: Any, tmp_path: Path
) -> None:
    file = tmp_path / "mine.toml"
    text = shipped()["line-check"].read_text(encoding="utf-8")
    file.write_text(text, encoding="utf-8")
    say("save", str(tmp_path / "limits.toml"), *signed())
    run = ["run", "T4 line@1", "--procedure"]
    assert "approved ones only: given a draft revision" in refused(*run, str(file))
    assert file.read_text(encoding="utf-8") == text
    say("approve", "T4 line@1", *signed())
    assert "stays as it is: given line-check" in refused(*run, "line-check")
    assert say(*run, str(file))["masks"] == ["level"]
    procedure = load_procedure(file).procedure
    assert procedure.limits == LimitsNamed(set="T4 line", revision=1)
    assert procedure.masks == {"level": LEVEL}
    assert text.splitlines()[0] == file.read_text(encoding="utf-8").splitlines()[0]


def test_tables_for_people(place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = str(tmp_path / "limits.toml")
    assert main(["limits", "list", "--store", place]) == 0
    assert capsys.readouterr().out == "no limit set yet\n"
    assert main(["limits", "save", file, *signed(), "--store", place]) == 0
    assert "○ draft" in capsys.readouterr().out
    assert main(["limits", "approve", "T4 line@1", *signed(), "--store", place]) == 0
    assert "drawn and approved by the same person" in capsys.readouterr().out
    assert main(["limits", "show", "T4 line@1", "--store", place]) == 0
    shown = capsys.readouterr().out
    assert "● approved" in shown
    assert f"approved by QC, {datetime.now(UTC):%Y-%m-}" in shown
    assert "2 points, 100 Hz to 1 kHz" in shown
    assert main(["limits", "difference", file, "T4 line@1", "--store", place]) == 0
    assert capsys.readouterr().out == "no mask differs\n"


def test_a_mistyped_store_is_refused_and_not_made(refused: Any, place: str) -> None:
    Path(place).unlink()
    for words in (["list"], ["show", "T4@1"], ["approve", "T4@1", *signed()]):
        assert "no store there" in refused(*words)
        assert not Path(place).exists()


def test_what_cannot_be_is_one_line(refused: Any, tmp_path: Path) -> None:
    file = tmp_path / "limits.toml"
    assert "no such set: given T4" in refused("show", "T4@1")
    assert 'no revision: given T4, allowed as "T4 line@7"' in refused("approve", "T4", *signed())
    assert "no such set: given T9" in refused("list", "--set", "T9")
    assert "--out: no such form" in refused("export", str(file), "--out", "x.txt")
    file.write_text(TEXT.split("\n", 1)[1], encoding="utf-8")
    assert "--set: missing" in refused("save", str(file), *signed())
    file.write_text(TEXT + "guards = 1\n", encoding="utf-8")
    assert "masks.level.guards: unknown key" in refused("save", str(file), *signed())


def test_nothing_of_a_refused_file_is_kept(refused: Any, place: str, tmp_path: Path) -> None:
    refused("save", str(tmp_path / "limits.toml"), "--by", " ", "--why", "x")
    with Store.open(place) as store:
        assert store.limit_sets() == ()
