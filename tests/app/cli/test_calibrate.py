"""``dustcap calibrate microphone`` as a person types it, on recordings made from closed forms."""

import json
import math
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from app.cli.main import main
from app.records.store import Store
from hardware.chain.load import load_chain
from tests.app.calibrate.tone_files import CHAIN, TRUE_MV_PER_PA, Tone

NOW = datetime(2026, 8, 3, 7, 30, tzinfo=UTC)


@dataclass
class Desk:
    """A chain file, a store, and what the last command said."""

    folder: Path
    capsys: pytest.CaptureFixture[str]
    chain: Path = field(init=False)
    store: Path = field(init=False)

    def __post_init__(self) -> None:
        self.chain, self.store = self.folder / "chain.toml", self.folder / "records.sqlite"
        self.chain.write_text(CHAIN)

    def type(self, *words: str) -> int:
        where = ["--chain", str(self.chain), "--store", str(self.store)]
        self.capsys.readouterr()
        return main([*words, *where])

    def calibrate(self, *tones: Tone, at: datetime = NOW, options: str = "") -> int:
        captures: list[str] = []
        for index, tone in enumerate(tones):
            path = self.folder / f"{at:%d-%H%M}-{index}.wav"
            captures += ["--capture", str(tone.write(path, at=at + timedelta(minutes=index)))]
        who = ["--operator", "N. N.", "--json", *options.split()]
        return self.type("calibrate", "microphone", *captures, *who)

    def said(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.capsys.readouterr().out)
        return found


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(tmp_path, capsys)


def test_the_document_has_the_promised_shape_and_its_budget_adds_up(desk: Desk) -> None:
    assert desk.calibrate(Tone()) == 0
    said = desk.said()
    result = said["result"]
    # 0.01 dB at 60 dB of signal to noise is what the calibration promises.
    assert 20 * math.log10(result["value"] / TRUE_MV_PER_PA) == pytest.approx(0, abs=0.01)
    assert result["unit"] == "mV/Pa"
    assert (said["accepted"], said["reasons"]) == (True, [])
    assert {"source", "kind", "standard_uncertainty", "sensitivity", "contribution"} <= said[
        "budget"
    ][0].keys()
    for line in said["budget"]:
        product = abs(line["sensitivity"]) * line["standard_uncertainty"]
        assert line["contribution"] == pytest.approx(product)
        assert line["kind"] in {"A", "B"}
    combined = math.hypot(*(line["contribution"] for line in said["budget"]))
    assert result["uncertainty"] == pytest.approx(result["k"] * combined)
    assert said["result_db"]["value"] == pytest.approx(20 * math.log10(result["value"] / 1e3))


def test_an_accepted_one_stands_in_the_chain_file_and_in_the_store(desk: Desk) -> None:
    options = "--certificate K-2026-114 --serial P-19 --due 2027-05-01"
    assert desk.calibrate(Tone(), Tone(seed=2), Tone(seed=3), options=options) == 0
    said = desk.said()
    wired = load_chain(desk.chain).chain.input.pressure
    assert wired is not None
    assert wired.sensitivity_v_per_pa * 1e3 == pytest.approx(said["result"]["value"], rel=2e-4)
    assert str(wired.calibrated_on) == "2026-08-03"
    text = desk.chain.read_text()
    assert "# from the pistonphone" in text
    assert 'name = "bench 3"          # beside the window' in text
    with Store.open(desk.store) as store:
        kept = store.calibration(said["id"][:8])
        assert kept.operator == "N. N."
        assert kept.instrument.certificate == "K-2026-114"
        assert len(store.calibration_captures(kept)) == 3
        assert store.calibration_state(load_chain(desk.chain).chain).failed == ()


@pytest.mark.parametrize(
    ("tone", "options", "reason"),
    [
        (Tone(level_db=94), "--level-db 114", "reads as 94 dB where 114 dB was named"),
        (Tone(frequency_hz=1012), "", "class 1 allows 0.7 %"),
        (Tone(sinks_db_per_s=0.3), "", "leak"),
        (Tone(hum_db=-30), "", "hum of 50 Hz"),
        (Tone(snr_db=5), "", "too little signal"),
        (Tone(level_db=94.7), "", "from the last calibration, allowed 0.5 dB"),
        (Tone(level_db=124), "--level-db 124", "rail"),
        (Tone(), "--microphone-mv-per-pa 15", "from its certificate, allowed 1 dB"),
        (Tone(), "--due 2026-08-01", "was due on 2026-08-01"),
    ],
    ids=[
        "94 for 114",
        "frequency",
        "leak",
        "hum",
        "noise",
        "history",
        "clipped",
        "certificate",
        "due",
    ],
)
def test_a_fault_is_refused_with_its_reason_kept_and_changes_nothing(
    desk: Desk, tone: Tone, options: str, reason: str
) -> None:
    assert desk.calibrate(tone, options=options) == 1
    said = desk.said()
    assert said["accepted"] is False
    assert reason in " | ".join(said["reasons"])
    assert desk.chain.read_text() == CHAIN
    with Store.open(desk.store) as store:
        assert store.calibration(said["id"]).reasons == tuple(said["reasons"])


def test_a_pistonphone_is_corrected_for_the_static_pressure(desk: Desk) -> None:
    # 20 lg(98 / 101.325) = -0.28981 dB: the level at 98 kPa is that much lower.
    tone = Tone(level_db=114 - 0.28981, frequency_hz=250)
    assert desk.calibrate(tone, options="--level-db 114 --frequency-hz 250 --pressure-kpa 98") == 0
    said = desk.said()
    assert 20 * math.log10(said["result"]["value"] / TRUE_MV_PER_PA) == pytest.approx(0, abs=0.01)
    assert said["instrument"]["name"] == "pistonphone, class 1"
    assert said["numbers"]["sound_level_db"]["value"] == pytest.approx(113.71019, abs=1e-5)


def test_a_pistonphone_without_a_barometer_is_asked_for_one(desk: Desk) -> None:
    assert desk.calibrate(Tone(frequency_hz=250), options="--frequency-hz 250") == 2
    line = desk.capsys.readouterr().err
    assert line.startswith("dustcap: --pressure-kpa: not given")
    assert line.count("\n") == 1


def test_the_rig_in_software_is_calibrated_live(desk: Desk) -> None:
    with desk.chain.open("a") as file:
        file.write("[virtual.calibrator]\nlevel_db = 93.9\nscatter_db = 0.01\n")
    options = ["--couplings", "3", "--seconds", "4", "--operator", "N. N.", "--json"]
    assert desk.type("calibrate", "microphone", *options) == 0
    said = desk.said()
    # The rig's microphone has what the chain states; its calibrator gives 0.1 dB less than named.
    off_db = 20 * math.log10(said["result"]["value"] / 12.5)
    assert off_db == pytest.approx(-0.1, abs=0.03)
    assert len(said["captures_sha256"]) == 3


def test_health_tells_what_became_of_the_links(desk: Desk) -> None:
    assert desk.calibrate(Tone()) == 0
    fresh = desk.said()["id"]
    assert desk.type("health", "--json") == 1  # made in August, and the term is 30 days
    links = {one["link"]: one for one in desk.said()["links"]}
    microphone = links["input.pressure"]
    assert microphone["in_force"] == {"input.pressure.sensitivity_v_per_pa": fresh}
    assert microphone["health"] == "stale"
    assert links["output.drive"]["health"] == "undated"


def test_a_kept_calibration_is_printed_again(desk: Desk, tmp_path: Path) -> None:
    assert desk.calibrate(Tone(), options=f"--out {tmp_path / 'first'}") == 0
    said = desk.said()
    assert {Path(name).suffix for name in said["files"]} == {".pdf", ".svg"}
    again = ["certificate", said["id"][:8], "--out", str(tmp_path / "again")]
    assert main([*again, "--store", str(desk.store), "--customer", "tram line 4"]) == 0
    printed = [Path(line) for line in desk.capsys.readouterr().out.splitlines()]
    assert [page.name for page in printed] == [Path(name).name for name in said["files"]]
    assert printed[0].read_bytes().startswith(b"%PDF")


def test_what_the_certificate_says_takes_the_place_of_the_class(desk: Desk) -> None:
    fast = Tone(frequency_hz=1009.0)
    assert desk.calibrate(fast) == 1
    assert "class 1 allows 0.7 %" in desk.said()["reasons"][0]
    typed = "--frequency-percent 1 --fluctuation-db 0.05 --distortion-percent 1"
    assert desk.calibrate(fast, at=NOW + timedelta(hours=1), options=typed) == 0
    said = desk.said()
    assert said["given"]["frequency_percent"] == 1.0
    sentences = " ".join(check["sentence"] for check in said["checks"])
    assert sentences.count("its certificate allows") == 3
    assert desk.calibrate(fast, options="--frequency-percent 0") == 2


def test_whether_the_level_follows_the_pressure_can_be_said(desk: Desk) -> None:
    # 20 lg(90 / 101.325) = -1.0295 dB: a calibrator that says so is corrected.
    options = "--follows-pressure --pressure-kpa 90"
    assert desk.calibrate(Tone(level_db=94 - 1.0295), options=options) == 0
    assert desk.said()["result"]["value"] == pytest.approx(TRUE_MV_PER_PA, rel=2e-3)
    held = "--instrument pistonphone --level-db 94 --frequency-hz 1000 --holds-level"
    assert desk.calibrate(Tone(), at=NOW + timedelta(hours=1), options=held) == 0
    assert desk.said()["given"]["follows_pressure"] is False


def test_what_is_assumed_and_how_a_table_was_read_is_said(desk: Desk) -> None:
    assert desk.calibrate(Tone(), options="--note morning") == 0
    said = desk.said()
    assert said["note"] == "morning"
    assert said["remarks"] == [
        "How well couplings repeat is in part assumed, 0.05 dB each: 8 more couplings beyond the "
        "first of a day would tell it."
    ]
    table = "kHz;dB\n0,02;-1,2\n1;0\n20;-3\n"
    (desk.folder / "table.csv").write_text(table)
    text = desk.chain.read_text()
    desk.chain.write_text(text.replace("channel = 2\n", 'channel = 2\nresponse = "table.csv"\n', 1))
    tones = (Tone(seed=3), Tone(seed=4))
    assert desk.calibrate(*tones, at=NOW + timedelta(hours=2), options="--check") == 0
    remarks = desk.said()["remarks"]
    assert remarks[0] == "table.csv: frequencies are in kHz."
    assert "known from 20 to 20000 Hz; beyond, the end is held and marked" in remarks[1]
    assert "7 more couplings" in remarks[2]
    # The page and the record have them, too.
    with Store.open(desk.store) as store:
        kept = store.calibrations()[0]
    assert list(kept.remarks) == remarks
    paper = ["--out", str(desk.folder / "paper"), "--store", str(desk.store)]
    assert main(["certificate", kept.id, *paper]) == 0
    pages = "".join(page.read_text() for page in (desk.folder / "paper").glob("*.svg"))
    assert "table.csv: frequencies are in kHz." in pages
