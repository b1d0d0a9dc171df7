"""What the Measure bay says of a take, held against what the take itself holds."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from app.desktop.presenters.figures import NONE
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_gate import gate_state
from app.desktop.presenters.measure_live import LiveCurves, live_lines, with_readings
from app.desktop.presenters.measure_marks import figure_marks
from app.desktop.presenters.measure_names import NUMBERS, QUANTITIES
from app.desktop.presenters.measure_numbers import no_numbers, numbers_state
from app.desktop.presenters.measure_ribbon import nth_overlay, ribbon_state, when_text
from app.desktop.presenters.measure_scene import PlotName
from app.desktop.presenters.measure_selection import Selection, show, toggle
from app.desktop.presenters.measure_stale import figures_on, stale_on
from app.desktop.presenters.measure_stated import level_unit, planned_from_hz
from app.desktop.presenters.measure_verdict import no_take_verdict, verdict_state
from app.desktop.presenters.measure_warnings import warnings_state
from app.desktop.presenters.measure_will_do import nothing_plays, will_do_state
from app.desktop.presenters.measure_words import (
    Told,
    words_after_failure,
    words_of_take,
    words_when_empty,
    words_while_active,
)
from app.desktop.run_state import Failure, RunState
from app.measure.events import State
from app.measure.live import LiveReading
from app.measure.will_do import will_do
from app.procedure import names
from app.procedure.edit_geometry import with_geometry
from app.procedure.shipped import demo_chain, find_procedure
from app.records.find_takes import TakeSummary
from app.records.take import Finding
from dsp.conformity.verdict import MaskResult, Verdict
from dsp.response.reflection import first_reflection
from tests.app.desktop.measure import made


def test_every_number_and_curve_of_a_record_has_a_name_for_people() -> None:
    # No mask can be about the figures of a merged response, but its record shows them.
    merged = {"offset_db", "lag_s", "left_db", "crossover_low_hz", "crossover_high_hz"}
    assert set(NUMBERS) == {*names.NUMBERS, *merged}
    assert set(QUANTITIES) == set(names.CURVES)


def test_numbers_stand_in_reading_order_to_the_place_of_their_interval() -> None:
    take = made.good().take
    state = numbers_state(take, number=42, marks={})
    # Of the parameters the resonance alone: masks need the room, and those have a card.
    shown = ("sensitivity_db", "polarity", "fs_hz", "rub_buzz_db", "impulse_count")
    assert state.keys == shown
    first = state.facts[0]
    # EA-4/02 M:2022, 6.3: two digits of the interval, and the value to the same place.
    number = take.numbers["sensitivity_db"]
    assert number.uncertainty is not None
    assert first.value == f"{number.value:.2f}"
    assert first.interval == f"±{number.uncertainty:.2f}"
    assert first.unit == "dB"
    assert state.facts[1].value == "+1"
    assert state.told == "take 42, k = 2"


def test_without_masks_a_take_is_not_judged_which_is_not_undecided() -> None:
    take = replace(made.good().take, masks={}, verdict=Verdict.NOT_JUDGED, unit=None)
    state = verdict_state(take, stale=())
    assert (state.mark, state.word) == (Mark.NONE, "Not judged")
    said = words_of_take(Told(take=take, number=5, is_new=True), stale=())
    assert said.mark is Mark.NONE
    assert said.happened == (
        "Take 5 is kept: the unit is not judged, as the procedure has no mask."
    )
    assert "Limits (Ctrl 3)" in said.next


def test_a_delay_is_shown_in_milliseconds() -> None:
    take = replace(made.good().take, masks={})  # where masks need the room, the record has it
    state = numbers_state(take, number=1, marks={})
    fact = state.facts[state.keys.index("delay_s")]
    assert float(fact.value) == pytest.approx(take.numbers["delay_s"].value * 1e3, abs=5e-4)
    assert fact.unit == "ms"


def test_a_number_that_is_not_to_be_trusted_is_marked_and_says_why() -> None:
    take = made.gated().take
    state = numbers_state(take, number=1, marks={})
    fact = state.facts[state.keys.index("sensitivity_db")]
    assert fact.mark is Mark.CAUTION
    assert "gate" in fact.note
    assert any("gate" in said.sentence for said in warnings_state(take, stale=()).said)


def test_before_any_take_there_are_dashes_not_zeros() -> None:
    state = no_numbers(demo_chain().chain)
    assert {fact.value for fact in state.facts} == {"–"}
    assert no_take_verdict({}).mark is Mark.NONE


def test_the_verdict_names_the_gravest_mask_with_margin_and_frequency() -> None:
    take = made.weak().take
    state = verdict_state(take, stale=())
    assert (state.mark, state.word) == (Mark.BAD, "Does not conform")
    assert [line.mark for line in state.masks] == sorted(
        (line.mark for line in state.masks), key=[Mark.BAD, Mark.UNDECIDED, Mark.GOOD].index
    )
    for line in state.masks:
        result = take.masks[line.mask]
        assert line.hz == result.nearest_hz
        if line.quantity == "polarity":  # right or wrong, by no distance
            assert line.margin == NONE
            continue
        margin = float(line.margin.split(" ")[0].replace("−", "-"))
        assert margin == pytest.approx(result.margin, rel=0.01)
    fails = sum(one.verdict is Verdict.DOES_NOT_CONFORM for one in take.masks.values())
    assert state.told == f"{fails} of {len(take.masks)} broken"


def test_figures_that_stand_on_a_stale_microphone_are_marked_and_others_are_not() -> None:
    take = made.stale().take
    links = stale_on(take.chain.chain, on=take.started_utc.date())
    assert [link.link for link in links] == ["microphone"]
    figures = figures_on(links)
    assert {"level", "sensitivity_db"} <= figures
    assert not {"impedance", "polarity", "delay_s", "thd", "h2"} & figures
    state = verdict_state(take, stale=links)
    assert state.detail == "until the microphone is proved"
    warned = warnings_state(take, stale=links)
    assert warned.told == "1"
    assert "its term is 90" in warned.said[0].sentence
    words = words_of_take(Told(take=take, number=42, is_new=True), stale=links)
    assert words.action == "to_link"


def test_what_a_clipped_input_spoilt_is_marked_wherever_it_appears() -> None:
    take = made.clipped().take
    assert take.warnings[0].startswith("input.pressure clipped")
    marks = figure_marks(take, stale=())
    assert {marks.get(name) for name in ("level", "sensitivity_db", "thd", "h2", "polarity")} == {
        Mark.CAUTION
    }
    assert "impedance" not in marks
    facts = numbers_state(take, number=1, marks=marks).facts
    assert facts[0].mark is Mark.CAUTION
    said = warnings_state(take, stale=()).said
    # Said once, in words for people, though every mask is undecided for it.
    assert len([one for one in said if "clipped" in one.sentence]) == 1
    assert said[0].sentence.startswith("The microphone’s input clipped")


def test_what_stands_on_a_link_whose_proof_was_refused_is_marked() -> None:
    said = "input.pressure: calibration of 2026-11-25 was refused: 0.86 dB below the certificate"
    take = replace(made.good().take, warnings=(said,))
    marks = figure_marks(take, stale=())
    assert marks.get("sensitivity_db") is Mark.CAUTION
    assert "polarity" not in marks
    assert "impedance" not in marks
    sentence = warnings_state(take, stale=()).said[0].sentence
    assert sentence.startswith("The calibration of the microphone of 2026-11-25 was refused")


def test_masks_that_are_undecided_for_one_reason_share_a_sentence() -> None:
    take = made.good().take
    missing = MaskResult(
        verdict=Verdict.NOT_DECIDED, margin=float("nan"), reason="high_order was not measured"
    )
    other = replace(missing, reason="thd was not measured")
    taken = replace(take, masks={**take.masks, "high_order": missing, "thd": other})
    said = [one.sentence for one in warnings_state(taken, stale=()).said]
    assert said == ["Not measured, so not decided: THD, high order."]


def test_findings_are_told_with_how_likely_they_are() -> None:
    finding = Finding(cause="weak magnet", confidence=0.8, because=("sensitivity 3 dB low",))
    take = replace(made.weak().take, findings=(finding,))
    said = warnings_state(take, stale=()).said
    told = "Likely cause: weak magnet, 80 % sure. Sensitivity 3 dB low. Magnetise it again, then"
    assert any(one.sentence.startswith(told) for one in said)


def test_the_gate_says_what_it_costs() -> None:
    finished = made.gated()
    geometry = finished.take.procedure.geometry
    impulse = finished.derived.impulse
    assert impulse is not None
    reflection = first_reflection(impulse)
    state = gate_state(geometry, take=finished.take, impulse=impulse, reflection=reflection)
    low_hz = finished.take.curves["level"].valid.low_hz
    # A record of T seconds that is tapered holds from 2/T.
    assert low_hz == pytest.approx(2 / 4.8e-3)
    # The rig reflects half the amplitude after 5.2 ms: 6 dB down.
    assert state.told == f"Reflection at 5.2 ms, 6 dB down, is cut: valid from {low_hz:.0f} Hz."
    # The rig reflects 5.2 ms after the direct sound: there the response peaks once more.
    late = state.t_ms > 3
    peak_ms = state.t_ms[late][np.argmax(np.abs(state.pa_per_v[late]))]
    assert peak_ms == pytest.approx(5.2, abs=0.15)


def test_without_a_reflection_the_gate_may_stay_open() -> None:
    finished = made.good()
    geometry = finished.take.procedure.geometry
    state = gate_state(geometry, take=finished.take, impulse=finished.derived.impulse)
    assert state.told == "No reflection stands out: the gate may stay open."


def test_another_gate_than_the_take_s_asks_to_derive_again() -> None:
    finished = made.good()
    geometry = with_geometry(find_procedure("line-check"), "gate_ms", 3.0).procedure.geometry
    state = gate_state(geometry, take=finished.take, impulse=finished.derived.impulse)
    assert "Press D" in state.told
    assert "3 ms" in state.told


def test_the_level_is_stated_for_its_distance_and_voltage() -> None:
    chain = demo_chain().chain
    loaded = find_procedure("line-check")
    assert level_unit(loaded.procedure, chain=chain) == "dB re 20 µPa, 1 m, 2.83 V"
    assert planned_from_hz(loaded.procedure) is None
    gated = with_geometry(loaded, "gate_ms", 4.0).procedure
    assert planned_from_hz(gated) == pytest.approx(500.0)


def test_what_will_be_done_stands_against_its_limits() -> None:
    will = will_do(find_procedure("line-check"), demo_chain(), sensitivity_db=86.0)
    state = will_do_state(will)
    words = {fact.name: fact.value for fact in state.facts}
    # A sine of 2.83 V rms peaks at √2 times that; 6 V rms are allowed.
    assert words["peak at the terminals"] == "4.0 of 8.5 V"
    # 86 dB at 1 m are 6 dB more at half of it.
    assert words["at your ear, 0.5 m"] == "92 dB"
    assert words["into the coil"] == "1.0 of 4.5 W"
    assert state.is_loud
    assert not state.note


def test_an_assumed_sensitivity_is_told() -> None:
    state = will_do_state(will_do(find_procedure("line-check"), demo_chain()))
    assert state.note
    assert any(fact.value.startswith("≈") for fact in state.facts)


def test_a_refusal_is_not_said_twice() -> None:
    assert nothing_plays("too high", is_told=True).said[0].sentence == "Nothing can be played."
    assert "too high" in nothing_plays("too high", is_told=False).said[0].sentence


NOW = datetime(2026, 11, 26, 14, 40, tzinfo=UTC)


def summary(number: int, **changes: object) -> TakeSummary:
    content: dict[str, object] = {
        "id": f"{number:032x}",
        "number": number,
        "unit": f"T4-W31-04{number:02}",
        "lot": "T4-W31",
        "procedure": "line check",
        "procedure_sha256": "",
        "started_utc": NOW - timedelta(minutes=10),
        "verdict": Verdict.CONFORMS,
        "warnings": (),
        "derived_from": None,
    }
    return TakeSummary(**(content | changes))  # type: ignore[arg-type]  # as the fields have it


def ribbon(run: RunState | None = None, **slots: int):  # type: ignore[no-untyped-def]  # local
    return ribbon_state(
        [summary(3), summary(2), summary(1)],
        count=40,
        slots={f"{int(name[1:]):032x}": slot for name, slot in slots.items()},
        reference=f"{1:032x}",
        run=run or RunState(),
        now=NOW,
    )


def test_digits_count_the_takes_that_can_be_laid_over() -> None:
    state = ribbon(t3=0, t1=2)
    assert [tile.key for tile in state.tiles] == ["", "1", "2"]
    assert [tile.slot for tile in state.tiles] == [0, None, 2]
    assert [tile.is_reference for tile in state.tiles] == [False, False, True]
    assert nth_overlay(state, 2) == f"{1:032x}"
    assert nth_overlay(state, 4) is None


def test_the_take_that_plays_stands_first() -> None:
    state = ribbon(RunState(phase=State.PLAYING, number=41, unit="T4-W31-0441"), t3=0)
    assert state.tiles[0].number == "41"
    assert state.tiles[0].mark is Mark.BUSY
    assert state.count == 41
    assert [tile.slot for tile in state.tiles] == [0, None, None, None]


def test_times_are_told_in_the_zone_of_the_person() -> None:
    zone = timezone(timedelta(hours=2))
    assert when_text(NOW, now=NOW.astimezone(zone)) == "16:40"
    assert when_text(NOW - timedelta(days=1), now=NOW) == "25 Nov"


def test_overlays_keep_their_colour_and_the_oldest_goes_when_none_is_left() -> None:
    selection = show(Selection(), "a")
    for take_id in ("b", "c", "d"):
        selection = toggle(selection, take_id)
    assert selection.slots == {"a": 0, "b": 1, "c": 2, "d": 3}
    selection = toggle(selection, "c")
    assert selection.slots == {"a": 0, "b": 1, "d": 3}
    selection = toggle(toggle(selection, "e"), "f")
    assert selection.slots == {"a": 0, "d": 3, "e": 2, "f": 1}
    assert show(selection, "e").slots == {"d": 3, "f": 1, "e": 0}
    assert toggle(selection, "a") == selection


def test_curves_grow_in_order_of_frequency_whatever_plays() -> None:
    down = tuple(LiveReading(hz=hz, level_db=80.0) for hz in (400.0, 200.0, 100.0))
    curves = with_readings(LiveCurves(number=7), down)
    lines = live_lines(curves)
    assert lines[PlotName.LEVEL].x.tolist() == [100.0, 200.0, 400.0]
    assert lines[PlotName.LEVEL].name == "take 7"
    assert np.isnan(lines[PlotName.IMPEDANCE].y).all()
    assert curves.now_text == "100 Hz now"
    assert live_lines(LiveCurves(number=7)) == {}


def test_a_lost_card_says_what_is_safe_and_what_to_do() -> None:
    failure = Failure(sentence="gone", card_lost=True, at="14:32:07", played_s=0.61)
    words = words_after_failure(failure, safe=41)
    assert "takes 1 to 41 are safe" in words.happened
    assert words.action == "look_again"
    other = replace(failure, card_lost=False)
    assert "gone" in words_after_failure(other, safe=0).happened


def test_every_sentence_keeps_the_house_s_rules() -> None:
    run = RunState(phase=State.PLAYING, number=1, played_s=0.5, whole_s=1.0)
    every = [
        words_while_active(run, kind="log_sweep"),
        words_while_active(replace(run, phase=State.DERIVING), kind="log_sweep"),
        words_when_empty(unit=None, takes=0, stale=()),
        *(
            words_of_take(Told(take=one().take, number=1, is_new=new), stale=())
            for one in (made.good, made.weak, made.gated)
            for new in (False, True)
        ),
    ]
    for words in every:
        text = f"{words.happened} {words.next}".lower()
        assert words.happened[0].isupper()
        assert words.happened.endswith(".")
        assert words.next.endswith(".")
        assert not any(bad in text for bad in ("error", "please", "!"))
    assert every[0].progress == 0.5
