"""While nothing plays the inputs are heard; a take has the card at once, and loses nothing."""

import math
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.bench import Bench, Wired
from app.desktop.run_state import Failure
from app.measure.events import Finished
from app.records.store import Store
from hardware.chain.snapshot import ChainSnapshot
from hardware.soundcard.preflight import Forecast
from tests.app.desktop.engine_child import GONE
from tests.app.desktop.kept_engine import Engines
from tests.app.measure.bench_job import chain, procedure


def a_bench(folder: Path) -> Bench:
    # Converter noise of -90 dB re a full-scale sine, on every input: the truth to compare with.
    snapshot = chain(converter_noise_dbfs=-90.0, noise_db_spl=20.0)
    return Bench(
        store=Store.open(folder / "records.sqlite"),
        chain=Wired(snapshot=snapshot, file=None),
        procedure=procedure(),
    )


@pytest.fixture
def bench(qapp: object, tmp_path: Path) -> Iterator[Bench]:  # noqa: ARG001
    made = a_bench(tmp_path)
    yield made
    made.close()


def on_file(bench: Bench) -> ChainSnapshot | None:
    return bench.chain_on_file


def the_one(arguments: list[object] | None) -> object:
    assert arguments
    return arguments[0]


def test_inputs_are_heard_while_nothing_plays(qtbot: QtBot, bench: Bench) -> None:
    with qtbot.waitSignal(bench.idle_levels, timeout=20_000) as told:
        bench.listen(inputs=5)
    levels = the_one(told.args)
    assert isinstance(levels, tuple)
    assert len(levels) == 5
    assert levels[3] == pytest.approx(-90.0, abs=0.5)  # nothing is wired to it
    bench.listen(inputs=None)


def test_a_take_has_the_card_at_once_and_is_the_same_as_without_listening(
    qtbot: QtBot, bench: Bench, tmp_path: Path
) -> None:
    with qtbot.waitSignal(bench.idle_levels, timeout=20_000):
        bench.listen(inputs=1)
    with qtbot.waitSignal(bench.take_kept, timeout=20_000) as told:
        bench.play()
    listened = the_one(told.args)
    with qtbot.waitSignal(bench.idle_levels, timeout=20_000):
        pass  # it goes on by itself
    (tmp_path / "other").mkdir()
    other = a_bench(tmp_path / "other")
    with qtbot.waitSignal(other.take_kept, timeout=20_000) as told:
        other.play()
    plain = the_one(told.args)
    other.close()
    assert isinstance(listened, Finished)
    assert isinstance(plain, Finished)
    assert listened.take.capture_sha256 == plain.take.capture_sha256


def test_a_card_that_cannot_be_listened_to_is_told_once_until_one_looks_again(
    qtbot: QtBot, bench: Bench, engines: Engines
) -> None:
    with engines.suffering(GONE), qtbot.waitSignal(bench.idle_failed, timeout=20_000) as told:
        bench.listen(inputs=1)
    failure = the_one(told.args)
    assert isinstance(failure, Failure)
    assert failure.card_lost
    with qtbot.waitSignal(bench.idle_levels, timeout=20_000):
        bench.look_again()


def test_a_trial_foretells_the_inputs_and_keeps_nothing(qtbot: QtBot, bench: Bench) -> None:
    with qtbot.waitSignal(bench.levels_tried, timeout=20_000) as told:
        bench.try_levels()
    found = the_one(told.args)
    assert isinstance(found, Forecast)
    assert len(found.inputs) == len(bench.chain.chain.input.wired)
    assert bench.store.count() == 0
    # At full drive the loopback gives what is played: 2 √2 V of 20 V full scale, -17.0 dBFS.
    assert 20 * math.log10(found.inputs[2].peak) == pytest.approx(-17.0, abs=0.2)
    qtbot.waitUntil(lambda: not bench.run.is_active)


def test_the_bench_knows_what_the_chain_s_file_says(bench: Bench, tmp_path: Path) -> None:
    assert on_file(bench) is None
    file = tmp_path / "chain.toml"
    bench.chain_saved(Wired(snapshot=bench.chain, file=file))
    assert on_file(bench) == bench.chain
    renamed = bench.chain.model_copy(
        update={"chain": bench.chain.chain.model_copy(update={"name": "other"})}
    )
    bench.edit_chain(Wired(snapshot=renamed, file=file), text="rename")
    assert on_file(bench) != bench.chain
    bench.undo_stack.undo()
    assert on_file(bench) == bench.chain
