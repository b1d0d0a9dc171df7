"""Parameters in the Measure bay, from key to figure; held against the rig's own unit."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import View
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import find_procedure
from hardware.toml_edit import with_values
from hardware.virtual.unit import T130
from tests.app.desktop.measure import made
from tests.app.desktop.measure.bay_on_bench import Desk, open_desk

_ADDED_G = 1e3 * T130.mms_kg * 0.5 * 0.8  # severity 0.8 of the rig: 1 + 0.5 x 0.8 times the mass


def _quiet() -> LoadedProcedure:
    loaded = find_procedure("baffle-sweep")
    values: dict[tuple[str | int, ...], object] = {
        ("excitation", "level_v_rms"): 0.1,
        ("excitation", "duration_s"): 1.0,
    }
    return replace(loaded, procedure=with_values(loaded.procedure, values))


@pytest.fixture(scope="module")
def _bench(
    request: pytest.FixtureRequest,
    qapp: QApplication,
    tmp_path_factory: pytest.TempPathFactory,
    empty_store: Path,
) -> Iterator[Desk]:
    place = Path(shutil.copy(empty_store, tmp_path_factory.mktemp("unit") / "records.sqlite"))
    desk = open_desk(QtBot(request), qapp, place=place)
    for faults in ({"wrong_mass": 0.8}, {}):
        chain = made.virtual(spread=0.0, faults=faults)
        made.make(desk.bench.store, procedure=_quiet(), chain=chain)
    desk.bench.edit_procedure(_quiet(), text="quiet")
    yield desk
    desk.close()


@pytest.fixture
def desk(qtbot: QtBot, _bench: Desk) -> Desk:
    """A unit by itself, shown, with its parameters; the take before it has a mass on the cone."""
    _bench.qtbot = qtbot
    bay = _bench.bay
    bay.takes.refresh()
    bay.show_there(_bench.bench.store.find(limit=1)[0].id)
    _bench.settle()
    bay.plots.set_view(View.PARAMETERS)
    _bench.settle()
    for key in ("cone", "surround", "sd", "amount", "amount_interval"):
        bay.method_panel.typed.emit(key, "")
    bay.method_panel.chosen.emit("kind", "none")
    bay.method_panel.chosen.emit("second", "")
    _bench.settle()
    return _bench


def _facts(desk: Desk) -> dict[str, str]:
    return {fact.name: fact.value for fact in desk.bay.card.facts.facts}


def _type_area(desk: Desk) -> None:
    desk.type_into(desk.bay.method_panel.fields["sd"], f"{1e4 * T130.sd_m2:.6g}")


def test_parameters_are_a_view_that_leads_back_to_the_last_one(desk: Desk) -> None:
    bay = desk.bay
    bay.plots.set_view(View.DISTORTION)
    seen = []
    for _ in range(2):
        desk.do("parameters")
        columns = (bay.card, bay.method_panel, bay.result, bay.set_up)
        seen.append((bay.plots.view, [column.isVisible() for column in columns]))
    assert seen == [
        (View.PARAMETERS, [True, True, False, False]),
        (View.DISTORTION, [False, False, True, True]),
    ]


def test_the_card_tells_what_the_rig_s_unit_is(desk: Desk) -> None:
    facts = {fact.name: fact for fact in desk.bay.card.facts.facts}
    # R. H. Small, J. Audio Eng. Soc. 20 (1972) 383, from the parts of the unit in the rig.
    ws = (T130.mms_kg * T130.cms_m_per_n) ** -0.5
    assert float(facts["fs"].value) == pytest.approx(ws / 6.283185, rel=2e-3)
    qes = ws * T130.mms_kg * T130.re_ohm / T130.bl_tm**2
    assert float(facts["Qes"].value) == pytest.approx(qes, rel=1e-2)
    assert all(fact.interval for fact in facts.values())


def test_one_cursor_goes_through_impedance_residual_and_nyquist(desk: Desk) -> None:
    page = desk.bay.fit_page
    page.nyquist.cursor_moved.emit(80.0)
    assert {plot.cursor_hz for plot in page.stack.plots} == {80.0}
    assert desk.bay.plots.cursor_hz == 80.0
    page.stack.plots[1].cursor_moved.emit(200.0)
    assert page.nyquist.cursor_hz == 200.0
    told = desk.bay.plots.readout_text()
    assert "Impedance at 200 Hz" in told
    assert "Nyquist" in told


def test_copy_takes_the_figures_and_then_the_curves(desk: Desk) -> None:
    desk.bay.plots.set_cursor(None)  # else Ctrl, as a test before may have left it, copies that
    desk.do("copy")
    first, *rest = QGuiApplication.clipboard().text().splitlines()
    assert first.split("\t")[0] == "Re"
    assert first.split("\t")[3] == "Ω"
    gap = rest.index("")
    assert rest[gap + 1].startswith("Frequency, Hz\tImpedance, take")
    assert "Nyquist, R, take" in rest[gap + 1]
    assert "Parameters and curves" in desk.bay.words.happened


def test_draws_and_correlation_come_on_demand_and_go(desk: Desk) -> None:
    card = desk.bay.card
    desk.do("monte_carlo")
    desk.settle()
    assert len(card.draws.facts) == len(card.facts.facts)
    desk.do("monte_carlo")
    assert not card.draws.facts
    desk.do("correlation")
    assert desk.bay.parameters.correlation.isVisible()
    assert "Qts" in desk.bay.parameters.correlation.state.names
    desk.do("correlation")
    assert desk.bay.fit_page.isVisible()


def test_an_added_mass_tells_the_moving_mass_which_can_be_kept(desk: Desk) -> None:
    panel, store = desk.bay.method_panel, desk.bench.store
    _type_area(desk)
    panel.chosen.emit("kind", "added_mass")
    assert "No take chosen" in panel.refusal
    panel.chosen.emit("second", store.find(limit=2)[1].id)
    desk.type_into(panel.fields["amount"], f"{_ADDED_G:.6g}")
    assert panel.refusal == ""
    facts = _facts(desk)
    assert float(facts["Mms"]) == pytest.approx(1e3 * T130.mms_kg, rel=0.015)
    assert float(facts["Bl"]) == pytest.approx(T130.bl_tm, rel=0.015)
    desk.do("keep_mass")
    asked = desk.bench.procedure.procedure.quantities.parameters
    assert asked.mms_g == pytest.approx(1e3 * T130.mms_kg, rel=0.015)
    assert asked.mms_uncertainty_percent > 0
    assert asked.mms_from.startswith(f"added mass of {_ADDED_G:.4g} g, take ")
    assert asked.second_take is None
    assert "added mass" in desk.bay.words.happened
    desk.settle()
    assert panel.kind.key() == "known_mass"
    desk.bench.undo_stack.undo()
    asked = desk.bench.procedure.procedure.quantities.parameters
    assert (asked.mms_g, panel.kind.key()) == (None, "added_mass")


def test_a_take_that_lies_over_the_shown_one_is_offered_as_the_second(desk: Desk) -> None:
    panel, other = desk.bay.method_panel, desk.bench.store.find(limit=2)[1].id
    desk.bay.takes.toggle(other)
    desk.settle()
    panel.chosen.emit("kind", "closed_box")
    assert panel.second.key() == other
    desk.bay.takes.toggle(other)
    desk.settle()


def test_a_mass_that_did_not_lower_the_resonance_is_refused_and_the_rest_stands(desk: Desk) -> None:
    panel = desk.bay.method_panel
    heavy = desk.bench.store.find(limit=2)[1].id
    light = desk.bench.store.find(limit=1)[0].id
    desk.bay.show_there(heavy)
    desk.settle()
    panel.chosen.emit("kind", "added_mass")
    panel.chosen.emit("second", light)
    desk.type_into(panel.fields["amount"], "5")
    assert "resonance did not fall" in panel.refusal
    assert "Mms" not in _facts(desk)
    assert "fs" in _facts(desk)


def test_the_pressure_of_the_take_itself_is_a_scale(desk: Desk) -> None:
    _type_area(desk)
    desk.bay.method_panel.chosen.emit("kind", "pressure")
    desk.settle()
    facts = _facts(desk)
    assert float(facts["Bl"]) == pytest.approx(T130.bl_tm, rel=0.03)
    assert "2.83 V, 1 m" in facts


def test_a_wrong_value_stays_in_its_field_with_the_reason(desk: Desk) -> None:
    field = desk.bay.method_panel.fields["sd"]
    desk.type_into(field, "-5")
    assert field.is_refused
    assert "allowed above 0" in field.refusal
    assert field.text() == "-5"
    desk.type_into(field, "")
    assert not field.is_refused


def test_a_box_follows_from_the_figures_at_every_step(desk: Desk) -> None:
    bay = desk.bay
    desk.do("box")
    desk.settle()
    assert "needs the moving mass" in bay.box_results.said.said[0].sentence
    assert not bay.box_page.level.lines
    bay.plots.set_view(View.PARAMETERS)
    _type_area(desk)
    bay.method_panel.chosen.emit("kind", "pressure")
    desk.settle()
    desk.do("box")
    desk.settle()
    assert bay.box_panel.isVisible()
    suits = bay.box_panel.fields["volume"].box.placeholderText()
    assert float(suits) > 0
    desk.type_into(bay.box_panel.fields["volume"], "10")
    response = {fact.name: fact for fact in bay.box_results.response.facts}
    # Small 1972: fc = fs sqrt(1 + Vas / Vb)
    vas = float(_facts(desk)["Vas"])
    fs = float(_facts(desk)["fs"])
    assert float(response["fc"].value) == pytest.approx(fs * (1 + vas / 10) ** 0.5, rel=3e-3)
    before = response["fc"].value
    QTest.keyClick(bay.box_panel.fields["volume"].box, Qt.Key.Key_Up)
    desk.settle()
    assert bay.box_panel.fields["volume"].text() == "11"
    after = {fact.name: fact.value for fact in bay.box_results.response.facts}
    assert float(after["fc"]) < float(before)
    assert not bay.box_page.impedance.isHidden()


def test_a_vented_box_has_its_vent_and_cautions_at_too_much_power(desk: Desk) -> None:
    bay = desk.bay
    _type_area(desk)
    bay.method_panel.chosen.emit("kind", "pressure")
    desk.settle()
    desk.do("box")
    bay.box_panel.kind_chosen.emit("vented")
    for key, text in (("volume", "9"), ("tuning", "60"), ("vent", "45"), ("xmax", "4")):
        bay.box_panel.typed.emit(key, text)
    bay.box_panel.typed.emit("watts", "50")
    desk.settle()
    said = [one.sentence for one in bay.box_results.said.said]
    assert any("beyond Xmax" in one and "Next:" in one for one in said)
    assert any("vent is heard" in one for one in said)
    marks = {fact.name: fact.mark for fact in bay.box_results.at_power.facts}
    assert marks["excursion"] is Mark.CAUTION
    assert {line.name for line in bay.box_page.vent.lines} == {"50 W", "heard from"}
    assert bay.box_page.impedance.isHidden()
    assert bay.box_results.limits.said
    bay.box_panel.typed.emit("watts", "-1")
    assert "allowed above 0" in bay.box_panel.fields["watts"].refusal
    bay.box_panel.typed.emit("watts", "1")
    bay.box_panel.kind_chosen.emit("closed")
    desk.settle()


@pytest.mark.parametrize("view", [View.PARAMETERS, View.BOX])
@pytest.mark.parametrize("height", [576, 636])
def test_doubts_and_fields_are_not_cut_at_any_promised_height(
    desk: Desk, view: View, height: int
) -> None:
    _type_area(desk)
    desk.bay.method_panel.chosen.emit("kind", "pressure")
    desk.settle()
    desk.window.resize(1280, height)
    desk.bay.plots.set_view(view)
    desk.settle()
    left = desk.bay.method_panel if view is View.PARAMETERS else desk.bay.box_panel
    right = desk.bay.card.column if view is View.PARAMETERS else desk.bay.box_results.column
    assert left.wanted() <= left.height()
    assert right.wanted() <= right.height()


def test_a_mass_that_is_known_is_kept_with_the_take_that_d_derives_again(desk: Desk) -> None:
    panel, store = desk.bay.method_panel, desk.bench.store
    _type_area(desk)
    panel.chosen.emit("kind", "known_mass")
    desk.type_into(panel.fields["amount"], f"{1e3 * T130.mms_kg:.6g}")
    desk.do("derive_again")
    desk.settle()
    kept = store.take(store.find(limit=1)[0].id)
    assert kept.derived_from is not None
    assert kept.numbers["mms_g"].value == pytest.approx(1e3 * T130.mms_kg, rel=1e-5)
    assert kept.numbers["bl_tm"].value == pytest.approx(T130.bl_tm, rel=0.01)
    asked = kept.procedure.quantities.parameters
    assert asked.sd_cm2 == pytest.approx(1e4 * T130.sd_m2, rel=1e-5)


def test_the_second_take_is_kept_with_the_take_that_d_derives_again(desk: Desk) -> None:
    panel, store = desk.bay.method_panel, desk.bench.store
    heavy = store.find()[-1].id
    _type_area(desk)
    panel.chosen.emit("kind", "added_mass")
    panel.chosen.emit("second", heavy)
    desk.type_into(panel.fields["amount"], f"{_ADDED_G:.6g}")
    desk.do("derive_again")
    desk.settle()
    kept = store.take(store.find(limit=1)[0].id)
    assert kept.rests_on == {"added mass": heavy}
    assert kept.procedure.quantities.parameters.added_mass_g == pytest.approx(_ADDED_G, rel=1e-5)
    assert kept.numbers["mms_g"].value == pytest.approx(1e3 * T130.mms_kg, rel=0.015)
