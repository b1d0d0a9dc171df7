"""``dustcap merge``: two stored takes of one unit as one response."""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from app.cli.main import main
from app.records.store import Store
from tests.app.measure.near_field_takes import far_take, near_take


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(tmp_path_factory.mktemp("merge") / "records.sqlite")


@pytest.fixture(scope="module")
def takes(place: str) -> tuple[str, str]:
    with Store.open(place) as store:
        near, far = near_take(store=store), far_take(store=store)
    return near.id, far.id


def test_two_takes_become_one_document_and_a_folder_of_files(
    takes: tuple[str, str], place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["merge", *takes, "--store", place, "--out", str(tmp_path), "--json"]
    assert main(words) == 0
    said = capsys.readouterr()
    assert said.err == ""
    found = json.loads(said.out)
    assert (found["near"], found["far"], found["vent"]) == (*takes, None)
    assert found["unit"] == "T4-W31-0417"
    assert found["crossover"]["low_reason"] == "gate"
    crossover = {"crossover_low_hz", "crossover_high_hz"}
    assert found["numbers"].keys() == {"offset_db", "lag_s", "left_db", "delay_s"} | crossover
    assert found["id"] is None
    assert abs(found["numbers"]["offset_db"]["value"]) < 0.1
    assert {end["reason"] for end in found["low_ends"]} >= {"gate"}
    level = found["curves"]["level"]
    assert np.all(np.diff(level["frequency_hz"]) > 0)
    assert level["valid_hz"][0] < 30
    assert (tmp_path / "merged.png").read_bytes().startswith(b"\x89PNG")
    assert b"<svg" in (tmp_path / "merged.svg").read_bytes()[:1000]
    with (tmp_path / "level.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert len(rows) == len(level["value"]) + 1
    stored = json.loads((tmp_path / "merged.json").read_text(encoding="utf-8"))
    assert stored["curves"] == found["curves"]


def test_a_person_reads_where_it_was_joined_and_what_ends_it(
    takes: tuple[str, str], place: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["merge", *takes, "--store", place, "--from-hz", "400", "--to-hz", "700", "--keep"]
    assert main(words) == 0
    printed = capsys.readouterr().out
    with Store.open(place) as store:
        kept = store.find(limit=1)[0]
        assert set(store.take(kept.id).rests_on.values()) == set(takes)
    assert f"kept as take {kept.id[:8]}" in printed
    assert printed.startswith("T4-W31-0417: near field below 400 Hz, far field above 700 Hz")
    for said in ("as asked", "offset_db", "gate", "baffle_edge_m"):
        assert said in printed


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--from-hz", "400"], "--from-hz: stands without --to-hz"),
        (["--from-hz", "100", "--to-hz", "300"], "crossover outside what both hold"),
        (["--vent", "0" * 32], "no such take"),
    ],
)
def test_what_cannot_be_merged_is_one_line_and_exit_2(
    takes: tuple[str, str],
    place: str,
    words: list[str],
    said: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["merge", *takes, "--store", place, *words]) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.err.count("\n") == 1
