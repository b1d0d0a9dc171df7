"""``dustcap auralise``: the residual of a stored take as a sound and a picture."""

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from app.cli.main import main
from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.procedure.shipped import find_procedure
from app.records.store import Store
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(tmp_path_factory.mktemp("auralise") / "records.sqlite")


@pytest.fixture(scope="module")
def take(place: str) -> str:
    snapshot = chain(distance_m=0.3, faults={"coil_rub": 0.5})
    loaded = find_procedure("line-defects")
    with Store.open(place) as store:
        job = Job(procedure=loaded, chain=snapshot, unit="T4-W31-0417", store=store)
        run = Run(job, excitation=excite(loaded, snapshot), card=VirtualCard(snapshot))
        (finished,) = [event for event in run.events() if isinstance(event, Finished)]
    return finished.take.id


def test_a_residual_becomes_a_sound_of_capped_level_and_a_picture(
    take: str, place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["auralise", take[:8], "--store", place, "--out", str(tmp_path), "--json"]
    assert main(words) == 0
    found = json.loads(capsys.readouterr().out)
    samples, rate_hz = soundfile.read(tmp_path / "residual.wav")
    assert rate_hz == 48_000
    assert np.max(np.abs(samples)) == pytest.approx(0.1, rel=1e-6)  # -20 dB re full scale
    assert found["duration_s"] == pytest.approx(samples.size / rate_hz)
    assert found["peak_pa"] > 0
    assert (tmp_path / "residual.png").read_bytes().startswith(b"\x89PNG")
    assert b"<svg" in (tmp_path / "residual.svg").read_bytes()[:1000]
    assert len(found["files"]) == 3


def test_four_times_slower_it_lasts_four_times_as_long_but_for_the_pauses(
    take: str, place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lengths = []
    for slower in ("1", "4"):
        words = ["auralise", take, "--store", place, "--out", str(tmp_path), "--slower", slower]
        assert main([*words, "--json"]) == 0
        lengths.append(json.loads(capsys.readouterr().out)["duration_s"])
    pauses = 4 * 0.3  # sweep and three tones
    assert lengths[1] - pauses == pytest.approx(4 * (lengths[0] - pauses), rel=1e-3)


def test_it_plays_on_another_output_with_a_caution(
    take: str, place: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["auralise", take, "--store", place, "--play-on", "2"]) == 0
    said = capsys.readouterr()
    assert "caution: Headphones off your ears first" in said.err
    assert said.out.startswith("T4-W31-0417: residual, ")


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (["--play-on", "1"], "output channel: drives the unit: given 1, allowed another output"),
        (["--play-on", "2", "--peak-dbfs", "-10"], "-20"),
        ([], "nothing to do: allowed --out, --play-on, or both"),
        (["--card", "one"], "--card: stands without --play-on"),
        (["--out", "x", "--slower", "40"], "16"),
    ],
)
def test_what_must_not_be_is_refused_in_one_line(
    words: list[str], refusal: str, take: str, place: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["auralise", take, "--store", place, *words]) == 2
    said = capsys.readouterr().err
    assert refusal in said
    assert len(said.strip().splitlines()) == 1
