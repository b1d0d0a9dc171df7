"""The form of a merge, and what was merged, as states; takes of the rig, no window."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_gate import gate_state
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_plots import impedance_plot
from app.desktop.presenters.measure_scene import Scene
from app.desktop.presenters.measure_words import Told, words_of_take
from app.desktop.presenters.merge_card import merge_card, no_merge
from app.desktop.presenters.merge_form import FIELDS, MergeForm
from app.desktop.presenters.merge_plots import (
    difference_plot,
    merged_level_plot,
    merged_phase_plot,
)
from app.desktop.presenters.merge_reading import MergeFormState, merge_form_state
from app.desktop.presenters.merge_words import (
    may_be_merged,
    refused_span,
    suited_span,
    words_of_lack,
    words_of_merge,
)
from app.measure.near_and_far import Joined, MergeWish, Part, Stood, join
from app.procedure.schema import Geometry
from tests.app.measure.near_field_takes import GAP_M, GATE_MS, SD_CM2, far_take, near_take

UNIT = "T4-W31-0417"


def stood(name: str, number: int, *, unit: str = UNIT, **geometry: object) -> Stood:
    return Stood(id=name, number=number, unit=unit, geometry=Geometry.model_validate(geometry))


NEAR = stood("near", 13, mounting="near_field", distance_m=GAP_M, radiator_cm2=SD_CM2)
BARE = stood("bare", 12, mounting="near_field", distance_m=GAP_M)
VENT = stood("vent", 11, mounting="near_field", distance_m=0.002, radiator_cm2=9.0)
FAR = stood("far", 14, gate_ms=GATE_MS)
BOXED = stood("boxed", 10, mounting="box", gate_ms=GATE_MS)
OTHER = stood("other", 15, unit="T4-W31-0002", gate_ms=GATE_MS)


def read(
    form: MergeForm | None = None, *takes: Stood, prefer: tuple[str, ...] = ()
) -> MergeFormState:
    offered = takes or (OTHER, FAR, NEAR, VENT, BOXED)
    return merge_form_state(form or MergeForm(), offered, unit=UNIT, prefer=prefer)


def test_the_newest_of_the_unit_are_merged_and_what_is_looked_at_goes_first() -> None:
    state = read()
    assert {role: one.id for role, one in state.takes.items()} == {"near": "near", "far": "far"}
    assert state.wish == MergeWish(near=Part(take_id="near"), far=Part(take_id="far"))
    assert read(prefer=("boxed", "vent")).wish == MergeWish(
        near=Part(take_id="vent"), far=Part(take_id="boxed")
    )
    chosen = MergeForm().choose("far", "other").choose("vent", "vent")
    wish = read(chosen).wish
    assert wish is not None
    assert (wish.far.take_id, wish.vent) == ("other", Part(take_id="vent"))
    # Another unit's come after the unit's own; no take is a vent of itself.
    assert [key for key, _ in state.options["far"]] == ["", "far", "boxed", "other"]
    assert [key for key, _ in state.options["vent"]] == ["", "vent"]


def test_a_diameter_is_an_area_and_an_area_shows_its_diameter() -> None:
    state = read(MergeForm().typed("bare", "near_across", "104 mm"), FAR, BARE)
    assert state.wish is not None
    # pi / 4 x 10.4 cm x 10.4 cm
    assert dict(state.wish.near.corrected)["radiator_cm2"] == pytest.approx(84.9487, rel=1e-5)
    assert state.texts["near_across"] == "104"
    assert float(read().texts["near_across"]) == pytest.approx(104.0, abs=0.1)


def test_gap_and_intervals_are_typed_in_millimetres_and_what_is_as_before_changes_nothing() -> None:
    form = MergeForm().typed("near", "near_gap", "8").typed("near", "near_gap_interval", "0,5")
    wish = read(form).wish
    assert wish is not None
    assert dict(wish.near.corrected) == {"distance_m": 0.008, "distance_uncertainty_m": 0.0005}
    same = read(MergeForm().typed("near", "near_gap", "10").typed("near", "near_count", "1"))
    assert same.wish is not None
    assert same.wish.near.corrected == ()


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("near_area", "-5", "Given −5 cm², allowed above 0."),
        ("near_area", "large", "Not a number"),
        ("near_across", "0", "above 0 mm"),
        ("near_gap_interval", "-1", "allowed from 0."),
        ("near_count", "1.5", "allowed"),
        ("far_edge", "1000", "allowed"),
        ("low", "0", "Given 0 Hz, allowed above 0."),
    ],
)
def test_what_cannot_stand_stays_in_its_field_and_is_told(key: str, text: str, said: str) -> None:
    whose = "" if key == "low" else key.split("_", maxsplit=1)[0]
    state = read(MergeForm().typed(whose, key, text))
    assert said in state.refused[key]
    assert state.texts[key] == text
    assert state.waits_for_a_person == (key != "low")
    # A crossover that cannot be read is not used; the rest stands.
    assert (state.wish is None) == (key != "low")


def test_the_baffle_s_edge_is_asked_for_on_a_baffle_only() -> None:
    assert "far_edge" not in read().hidden
    boxed = read(MergeForm().choose("far", "boxed"))
    assert "far_edge" in boxed.hidden
    assert {"vent_area", "vent_across"} <= boxed.hidden


@pytest.mark.parametrize(
    ("takes", "happened", "step"),
    [
        ((FAR,), "Take 14 is a far field; T4-W31-0417’s near field is missing.", "near field"),
        ((NEAR,), "Take 13 is a near field; T4-W31-0417’s far field is missing.", "close the gate"),
        ((FAR, BARE), "Takes 12 and 14 are not merged", "how large the cone is"),
    ],
)
def test_what_is_missing_is_said_with_the_next_step(
    takes: tuple[Stood, ...], happened: str, step: str
) -> None:
    state = read(None, *takes)
    words = words_of_lack(state)
    assert words.happened.startswith(happened)
    assert step in words.next
    assert state.wish is None
    marks = [one.mark for one in no_merge(state).doubts]
    assert marks.count(Mark.GOOD) == len(takes)
    if BARE in takes:
        assert "type the area" in state.refused["near_area"]


def test_every_field_has_a_place_in_a_form() -> None:
    assert read().texts.keys() | read().hidden >= FIELDS.keys()


@pytest.fixture(scope="module")
def joined() -> Callable[..., Joined]:
    takes = {"near": near_take(), "far": far_take()}
    edge = {"geometry": Geometry(gate_ms=GATE_MS, baffle_edge_m=0.4)}
    edged = takes["far"].procedure.model_copy(update=edge)
    takes["edged"] = replace(takes["far"], procedure=edged)

    @cache
    def made(far: str = "far", low_hz: float | None = None) -> Joined:
        wish = MergeWish(near=Part(take_id="near"), far=Part(take_id=far), low_hz=low_hz)
        return join(wish, take_of=lambda part: takes[part.take_id])

    return made


TAKES = {"near": NEAR, "far": FAR}


def test_gate_baffle_and_noise_are_each_named_with_their_frequency(
    joined: Callable[..., Joined],
) -> None:
    card = merge_card(joined("edged"), takes=TAKES)
    rows = {row.reason: row for row in card.ends}
    # 2 / 5.8 ms; half a wave of 345.9 m/s over 0.4 m; the sweep began at 10 Hz.
    assert (rows["gate"].near, rows["gate"].far) == ("open", "345 Hz")
    assert (rows["baffle"].near, rows["baffle"].far) == ("not seen", "432 Hz")
    assert (rows["noise"].near, rows["noise"].far) == ("< 10 Hz", "< 10 Hz")
    assert [reason for reason, row in rows.items() if row.counts] == ["baffle", "sweep"]
    assert card.ends_told == "merged: 10 Hz, sweep"
    assert card.doubts_told == "none"
    unknown = merge_card(joined(), takes=TAKES)
    assert {row.reason: row.far for row in unknown.ends}["baffle"] == "unknown"
    assert "type its edge" in unknown.doubts[0].sentence


def test_levels_that_disagree_are_a_doubt_with_a_mark_at_the_figure(
    joined: Callable[..., Joined],
) -> None:
    one = joined()
    offset = replace(one.found.merged.offset, value=2.31, reason="more than 1 dB")
    merged = replace(one.found.merged, offset=offset, left_db=0.8, inverted=True)
    warnings = ("the levels differ by 2.31 dB, more than 1 dB: look at distance", "the other sign")
    found = replace(one.found, merged=merged, warnings=warnings)
    doubted = replace(one, found=found)
    card = merge_card(doubted, takes=TAKES)
    facts = {fact.name: fact for fact in card.facts}
    assert facts["far less near"].mark is Mark.CAUTION
    assert facts["rest, rms"].mark is Mark.CAUTION
    assert card.doubts_told == "3"
    told = [said.sentence for said in card.doubts]
    assert "differ by +2.31 dB" in told[0]
    assert "it was turned" in told[1]
    assert "0.8 dB rms" in told[2]
    assert all("Next:" in sentence for sentence in told)
    assert "2.31 dB" in words_of_merge(doubted, state=read()).happened


def test_levels_of_the_card_have_two_decimals_so_that_their_points_stand_in_one_line(
    joined: Callable[..., Joined],
) -> None:
    one = replace(joined("edged"), louder_db=-0.003217)
    merged = replace(one.found.merged, left_db=0.068)
    card = merge_card(replace(one, found=replace(one.found, merged=merged)), takes=TAKES)
    levels = [fact.value for fact in (*card.facts, *card.scaling) if fact.unit == "dB"]
    assert len(levels) == 4
    assert all(value.partition(".")[2].isdigit() for value in levels)
    assert {len(value.partition(".")[2]) for value in levels} == {2}
    assert ("0.07" in levels, "0.00" in levels) == (True, True)


def test_a_warning_of_either_take_is_told_with_its_number(joined: Callable[..., Joined]) -> None:
    one = joined("edged")
    loud = replace(one, near=replace(one.near, warnings=("pressure: clipped",)))
    card = merge_card(loud, takes=TAKES)
    assert card.doubts[0].sentence.startswith("Take 13: ")
    assert card.doubts_told == "1"


def test_the_crossover_is_shaded_in_every_plot_and_all_three_levels_are_drawn(
    joined: Callable[..., Joined],
) -> None:
    one = joined()
    overlap = one.found.merged.overlap
    level = merged_level_plot(one)
    assert [line.name for line in level.lines] == ["merged", "near", "far"]
    assert level.shades[0].words == "crossover 345 Hz to 529 Hz"
    assert level.valid == one.found.merged.level.valid
    for plot in (level, difference_plot(one), merged_phase_plot(one)):
        (shade,) = plot.shades
        assert (shade.low, shade.high) == (overlap.low_hz, overlap.high_hz)
    assert [float(mask.values[0]) for mask in difference_plot(one).masks] == [1.0, -1.0]
    low, high = level.y or (0.0, 0.0)
    inside = level.lines[0].y[level.lines[0].x > 100]
    assert low < np.nanmin(inside)
    assert np.nanmax(inside) < high
    assert "1 m, 2 V" in level.unit
    for empty in (merged_level_plot(None), difference_plot(None), merged_phase_plot(None)):
        assert empty.hint
        assert not empty.lines


def test_a_crossover_that_cannot_be_had_is_told_and_what_suits_stands_in_the_fields(
    joined: Callable[..., Joined],
) -> None:
    refused = joined(low_hz=100.0)
    assert refused_span(refused).startswith("Crossover outside what both hold: given 100 to")
    assert suited_span(refused) == {"low": "345", "high": "529"}
    assert refused_span(joined()) == ""


def test_a_near_field_and_a_gated_take_offer_to_be_merged(joined: Callable[..., Joined]) -> None:
    near, far = joined().near, joined().far
    open_ = far.procedure.model_copy(update={"geometry": Geometry()})
    ungated = replace(far, procedure=open_)
    assert [may_be_merged(take) for take in (near, far, ungated)] == [True, True, False]


def test_a_merged_take_is_called_so_and_what_it_lacks_is_no_fault(
    joined: Callable[..., Joined],
) -> None:
    far = joined().far
    curves = {name: far.curves[name] for name in ("level", "level_phase")}
    rests_on = {"near field": "a", "far field": far.id}
    merged = replace(far, rests_on=rests_on, curves=curves, masks={})
    shown = Shown(take=merged, number=16, slot=0)
    words = words_of_take(Told(take=merged, number=16), stale=())
    assert "near and far field merged" in words.happened
    assert "press F" in words.next
    state = impedance_plot(Scene(shown=(shown,), masks={}, level_unit="dB"))
    assert state.hint == "Nothing here: level and phase alone were merged."
    assert "merged" in gate_state(Geometry(), take=merged, impulse=None).told
