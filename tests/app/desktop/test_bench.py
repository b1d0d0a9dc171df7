"""The bench: a take is in the store before anybody hears of it, and Stop keeps nothing."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.calibrate.play import probe_request
from app.desktop.bench import Bench, Wired
from app.desktop.run_state import Failure, RunState
from app.measure.events import Entered, Finished, Probed, State
from app.measure.probe_run import Probing
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from dsp.calibration.probe import steady_probe
from hardware.chain.snapshot import ChainSnapshot
from tests.app.desktop.engine_child import GONE
from tests.app.desktop.kept_engine import Engines


def the_one(arguments: list[object] | None) -> object:
    assert arguments
    return arguments[0]


def real_time(chain: ChainSnapshot) -> ChainSnapshot:
    virtual = chain.chain.virtual
    assert virtual is not None
    return chain.model_copy(
        update={
            "chain": chain.chain.model_copy(
                update={"virtual": virtual.model_copy(update={"real_time": True})}
            )
        }
    )


@pytest.fixture
def bench(qapp: object, tmp_path: Path) -> Iterator[Bench]:  # noqa: ARG001
    made = Bench(
        store=Store.open(tmp_path / "records.sqlite"),
        chain=Wired(snapshot=demo_chain(), file=None),
        procedure=find_procedure("line-check"),
    )
    yield made
    made.close()


def test_a_take_is_in_the_store_before_it_is_told(qtbot: QtBot, bench: Bench) -> None:
    there: list[int] = []
    bench.take_kept.connect(lambda _: there.append(bench.store.count()))
    bench.set_specimen(unit="T4-W31-0417", lot="T4-W31")
    with qtbot.waitSignal(bench.take_kept, timeout=20_000) as told:
        bench.play()
    assert there == [1]
    finished = the_one(told.args)
    assert isinstance(finished, Finished)
    assert bench.store.take(finished.take.id).unit == "T4-W31-0417"
    qtbot.waitUntil(lambda: bench.run.phase is State.DONE)


def test_stop_while_it_plays_keeps_nothing(qtbot: QtBot, bench: Bench) -> None:
    bench.edit_chain(Wired(snapshot=real_time(bench.chain), file=None), text="real time")

    def sounding(run: RunState) -> bool:
        return run.played_s > 0.1

    with qtbot.waitSignal(bench.run_changed, timeout=20_000, check_params_cb=sounding):
        bench.play()
    with qtbot.waitSignal(bench.run_stopped, timeout=5_000):
        bench.stop()
    assert bench.run.played_s < 1.0
    assert bench.store.count() == 0
    assert not bench.run.is_active


def test_a_card_that_goes_away_is_told_and_the_next_take_works(
    qtbot: QtBot, bench: Bench, engines: Engines
) -> None:
    with engines.suffering(GONE), qtbot.waitSignal(bench.run_failed, timeout=20_000) as told:
        bench.play()
    failure = the_one(told.args)
    assert isinstance(failure, Failure)
    assert failure.card_lost
    assert "stopped answering" in failure.sentence
    assert bench.store.count() == 0
    bench.look_again()
    with qtbot.waitSignal(bench.take_kept, timeout=20_000):
        bench.play()


def test_an_edit_of_the_procedure_can_be_undone(qtbot: QtBot, bench: Bench) -> None:
    before = bench.procedure
    named = before.procedure.model_copy(update={"name": "another"})
    with qtbot.waitSignal(bench.procedure_changed):
        bench.edit_procedure(replace(before, procedure=named), text="rename")
    assert bench.procedure.procedure.name == "another"
    bench.undo_stack.undo()
    assert bench.procedure is before


def test_a_procedure_that_the_chain_must_not_play_is_refused_in_one_line(
    qtbot: QtBot, bench: Bench
) -> None:
    loud = bench.procedure.procedure.excitation.model_copy(update={"level_v_rms": 500.0})
    procedure = bench.procedure.procedure.model_copy(update={"excitation": loud})
    bench.edit_procedure(replace(bench.procedure, procedure=procedure), text="too loud")
    with qtbot.waitSignal(bench.run_failed, timeout=20_000) as told:
        bench.play()
    failure = the_one(told.args)
    assert isinstance(failure, Failure)
    assert not failure.card_lost
    assert "\n" not in failure.sentence
    assert bench.store.count() == 0


def test_a_probe_of_a_link_is_a_run_that_ends_with_its_recordings(
    qtbot: QtBot, bench: Bench
) -> None:
    phases: list[State] = []
    bench.run_changed.connect(lambda run: phases.append(run.phase))
    drive = bench.chain.chain
    probe = steady_probe(float(drive.device.sample_rate), peak=0.01, hold_s=0.3)
    wanted = Probing(chain=bench.chain, request=probe_request(probe, chain=drive), times=2)
    with qtbot.waitSignal(bench.probed, timeout=20_000) as told:
        bench.probe(wanted)
        assert bench.run.is_sounding  # so that Esc and Stop end it
    probed = the_one(told.args)
    assert isinstance(probed, Probed)
    assert len(probed.captures) == 2
    assert bench.store.count() == 0
    assert phases[0] is State.PROBING
    assert phases[-1] is State.DONE


def test_a_take_that_is_begun_again_counts_how_often(bench: Bench) -> None:
    runs: list[RunState] = []
    bench.run_changed.connect(runs.append)
    bench._set_run(RunState(phase=State.PLAYING, number=3))
    for state in (State.DERIVING, State.JUDGING, State.PLAYING, State.DERIVING, State.JUDGING):
        bench._hear(Entered(state=state))
    assert [run.again for run in runs] == [0, 0, 0, 1, 1, 1]
    bench._hear(Entered(state=State.DONE))
    bench.play()
    assert bench.run.again == 0
    bench.stop()
