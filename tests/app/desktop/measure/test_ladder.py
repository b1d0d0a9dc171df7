"""A ladder of levels: quietest first, stopped by Esc, and what a unit does on the way up."""

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication

from app.desktop.presenters.ladder import ladder_state, levels_words, no_ladder
from app.desktop.presenters.measure_scene import View
from app.errors import BadInputError
from app.measure.drive_level import drive_v_rms, stated_v_rms
from app.measure.ladder import Climbed, ladder
from app.procedure.shipped import demo_chain, find_procedure
from dsp import Curve, ValidRange
from dsp.parameters.over_drive import Driven, over_drive
from tests.app.desktop.measure import made_parameters as made
from tests.app.desktop.measure.bay_on_bench import Desk


def test_a_ladder_rises_to_the_level_of_the_procedure_and_stays_referred_to_it() -> None:
    chain, loaded = demo_chain().chain, find_procedure("baffle-sweep")
    rungs = ladder(loaded, chain=chain, steps=4, step_db=6.0)
    volts = [drive_v_rms(one.procedure, chain=chain) for one in rungs]
    # 6 dB is a factor of 10 ** 0.3.
    assert volts == pytest.approx([2.83 / 10**0.9, 2.83 / 10**0.6, 2.83 / 10**0.3, 2.83])
    assert {stated_v_rms(one.procedure, chain=chain) for one in rungs} == {2.83}
    assert levels_words([0.1, 2.83]).startswith("Plays 0.1, 2.83 V, quietest first.")
    for wrong in ({"steps": 1, "step_db": 6.0}, {"steps": 13, "step_db": 6.0}):
        with pytest.raises(BadInputError, match="allowed 2 to 12"):
            ladder(loaded, chain=chain, **wrong)  # type: ignore[arg-type]
    with pytest.raises(BadInputError, match="above 0 dB"):
        ladder(loaded, chain=chain, steps=3, step_db=-6.0)


def test_what_levels_do_is_drawn_over_volts_and_told_against_no_drive() -> None:
    hz = np.geomspace(20.0, 2000.0, 50)
    lacks = Curve(
        frequency_hz=hz,
        value=np.full(50, -0.7),
        unit="dB",
        valid=ValidRange(low_hz=20.0, high_hz=2000.0),
    )
    units = {0.2: made.unit(), 2.0: made.unit(mass=0.9)}
    driven = [Driven(drive_v=volts, fit=one.fit) for volts, one in units.items()]
    found = over_drive(driven, cold_c=23.0)
    state = ladder_state(Climbed(numbers=(3, 4), parameters=found, compression={2.0: lacks}))
    facts = {fact.name: fact for fact in state.facts}
    # Lighter by a tenth: fs higher by 1 / sqrt(0.9) at 2 V; led to 0 V that is a little more.
    assert float(facts["fs at 2 V"].value) == pytest.approx(100 * (0.9**-0.5 - 1), abs=0.2)
    assert facts["small up to"].value == "0.2"
    assert state.told == "takes 3, 4"
    assert "Next:" in state.said[0].sentence
    assert [line.name for line in state.compression.lines] == ["2 V"]
    assert state.compression.y == (-1.0, 1.0)
    low, high = state.drive
    assert low < 0.2
    assert high > 2.0
    assert no_ladder("Why.").said[0].sentence == "Why."


@pytest.fixture
def told(qapp: QApplication) -> None:
    """The person has been asked about the noise."""
    qapp.setProperty("dustcap hearing told", True)


@pytest.mark.usefixtures("told")
def test_l_plays_quietest_first_and_then_shows_parameters_over_the_drive(desk: Desk) -> None:
    bay, bench = desk.bay, desk.bench
    desk.do("ladder")
    assert "needs to know the unit" in bay.words.happened
    bench.set_specimen(unit="T4-W31-0417", lot="T4-W31")
    bay.ladder_panel.typed.emit("steps", "1")
    assert "allowed 2 to 12" in bay.ladder_panel.fields["steps"].refusal
    bay.ladder_panel.typed.emit("steps", "2")
    bay.ladder_panel.typed.emit("step_db", "12")
    assert "quietest first" in bay.ladder_panel.told.text()
    desk.do("ladder")
    desk.qtbot.waitUntil(lambda: bool(bay.ladder_page.resonance.lines), timeout=30_000)
    desk.settle()
    assert not bay.ladder.is_climbing
    assert bench.store.count() == 2
    second, first = bench.store.find(limit=2)
    levels = [bench.store.take(one.id).procedure.excitation for one in (first, second)]
    assert levels[0].level_v_rms < levels[1].level_v_rms  # type: ignore[operator]
    assert bench.procedure.procedure.excitation == levels[1]  # the bench's own stays
    assert bay.plots.view is View.LADDER
    assert bay.ladder_results.isVisible()
    assert bay.ladder_page.resonance.lines[0].x.size == 2
    assert "At no drive fs is" in bay.words.happened
    assert "Drive, V" in bay.plots.table()


@pytest.mark.usefixtures("told")
def test_esc_ends_the_whole_ladder(desk: Desk) -> None:
    bay, bench = desk.bay, desk.bench
    bench.set_specimen(unit="T4-W31-0417", lot="T4-W31")
    desk.do("ladder")
    desk.qtbot.waitUntil(lambda: bench.run.is_sounding, timeout=20_000)
    with desk.qtbot.waitSignal(bench.run_stopped, timeout=20_000):
        bench.stop()
    desk.qtbot.waitUntil(lambda: not bench.run.is_active, timeout=20_000)
    desk.settle()
    assert not bay.ladder.is_climbing
    assert bench.store.count() == 0
