"""The invented files are what their script writes, load, and do what they say."""

import runpy
from datetime import date
from pathlib import Path

import pytest

from app.measure.derive import derive
from app.measure.excite import excite, play_request
from app.measure.judge import Judgement, judge
from app.procedure.load import load_procedure
from app.procedure.shipped import demo_chain, find_procedure
from dsp.conformity.verdict import Verdict
from hardware.chain.budget import level_budget
from hardware.chain.load import load_chain
from hardware.chain.stale import stale_links
from hardware.virtual.card import VirtualCard

FOLDER = Path(__file__).resolve().parents[2] / "demo_data"
WRITTEN = runpy.run_path(str(FOLDER / "make_demo_data.py"))["demo_data"]()
CHAINS = sorted(FOLDER.glob("bench-*.toml"))


def test_the_folder_holds_what_the_script_writes() -> None:
    found = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.[ct]*")}
    assert found == WRITTEN


@pytest.mark.parametrize("path", CHAINS, ids=lambda path: path.stem)
def test_every_chain_plays_every_procedure(path: Path) -> None:
    chain = load_chain(path)
    assert not level_budget(chain.chain).states_none
    for procedure in (find_procedure("line-check"), load_procedure(FOLDER / "t4-rattle.toml")):
        assert play_request(excite(procedure, chain), chain).output.size


def verdict(name: str) -> Judgement:
    chain, procedure = load_chain(FOLDER / name), find_procedure("line-check")
    excitation = excite(procedure, chain)
    capture = VirtualCard(chain).play(
        play_request(excitation, chain), on_progress=lambda _: None, should_stop=lambda: False
    )
    derived = derive(capture, procedure=procedure, chain=chain, excitation=excitation)
    return judge(derived, procedure=procedure.procedure, reference=None)


def test_the_good_unit_conforms_and_the_one_with_the_weak_magnet_does_not() -> None:
    assert verdict("bench-1.toml").verdict is Verdict.CONFORMS
    weak = verdict("bench-1-weak-magnet.toml")
    assert weak.verdict is Verdict.DOES_NOT_CONFORM
    assert weak.masks["sensitivity"].verdict is Verdict.DOES_NOT_CONFORM


def test_the_stale_bench_is_stale_from_the_day_that_it_names() -> None:
    chain = load_chain(FOLDER / "bench-1-stale.toml").chain
    assert stale_links(chain, on=date(2026, 10, 25)) == ()
    assert len(stale_links(chain, on=date(2026, 10, 26))) == 4


def test_the_bench_of_the_demo_is_wired_like_bench_1() -> None:
    ours, shipped = load_chain(FOLDER / "bench-1.toml").chain, demo_chain().chain
    assert (ours.input, ours.output, ours.device) == (shipped.input, shipped.output, shipped.device)
