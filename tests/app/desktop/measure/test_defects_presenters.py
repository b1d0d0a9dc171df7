"""Defects as plots, facts and sentences: what the rig's own faults must show."""

import math
from dataclasses import replace

import numpy as np
import pytest

from app.desktop.plots.level_map import Tile
from app.desktop.plots.moments import MomentKind
from app.desktop.presenters.defects_facts import (
    impulse_rows,
    impulse_words,
    loudest_tone,
    place_words,
    sweep_facts,
    tone_facts,
    tone_rows,
)
from app.desktop.presenters.defects_plots import (
    SWEEP,
    TONES,
    drive_span,
    edges,
    irregular_plot,
    level_map,
    over_time,
    pictures,
)
from app.desktop.presenters.defects_words import (
    findings_state,
    words_of_defects,
    words_of_tile,
    words_without_residual,
)
from app.desktop.presenters.mark import Mark
from app.measure.defects_seen import defects_seen
from app.records.take import Finding
from tests.app.desktop.measure import made_defects
from tests.app.desktop.measure.made_defects import buzzing, good, seen, shown

_RUB = Finding(cause="coil rub", confidence=0.93, because=("something repeats",))


def test_both_pictures_stand_on_one_axis_and_columns_of_tones_stand_apart() -> None:
    rub = seen(buzzing())
    assert [key for key, _ in pictures(rub)] == [SWEEP, TONES]
    swept, toned = (level_map(rub, picture=key) for key in (SWEEP, TONES))
    assert swept is not None
    assert toned is not None
    assert np.array_equal(swept.x_high[:-1], swept.x_low[1:])
    assert list(toned.x_hz) == [60.0, 100.0, 160.0]
    assert np.all(toned.x_high[:-1] < toned.x_low[1:])
    low, high = drive_span(rub)
    assert low <= swept.x_hz[0] <= swept.x_hz[-1] <= high


def test_noise_alone_does_not_fill_the_ramp_and_a_rub_does() -> None:
    parts = []
    for one in (good(), buzzing()):
        found = level_map(seen(one), picture=SWEEP)
        assert found is not None
        assert found.high - found.low >= 40.0
        parts.append((float(found.level.max()) - found.low) / (found.high - found.low))
    assert parts[0] < 0.5
    assert parts[1] > parts[0] + 0.1


def test_cells_of_even_steps_meet_half_way_between_middles() -> None:
    # Middles at 1, 2, 4: over log f the borders lie a factor of the square root of 2 off.
    expected = np.array([1, 2, 4, 8]) / math.sqrt(2)
    assert edges(np.array([1.0, 2.0, 4.0])) == pytest.approx(expected)


def test_the_residual_stands_beside_the_harmonics_of_its_take() -> None:
    finished = buzzing()
    state = irregular_plot(shown(finished), seen=seen(finished))
    names = [line.name for line in state.lines]
    assert names[0] == "residual"
    assert {"its peak", "H2", "H3"} <= set(names)
    assert state.y is not None
    assert state.y[0] < float(np.nanmax(state.lines[0].y)) < state.y[1]
    assert irregular_plot(None, seen=None).hint
    assert not irregular_plot(None, seen=None).lines


def test_impulses_stand_where_and_when_they_came_and_click_or_ring() -> None:
    rattle = seen(buzzing())
    over = over_time(rattle)
    assert [part.name for part in over.parts] == ["sweep", "60 Hz", "100 Hz", "160 Hz"]
    starts = [part.time_s[0] for part in over.parts]
    assert starts == sorted(starts)
    times = [one.time_s for one in over.moments]
    assert times == sorted(times)
    clicks = sum(one.kind is MomentKind.CLICK for one in over.moments)
    tones = rattle.reading.tones
    of_tones = sum(tone.impulses.short_count for tone in tones)
    assert clicks >= of_tones >= 3
    in_tones = sorted(p for tone in tones for p in tone.impulses.peak_pa)
    loudest = max(one.level for one in over.moments)
    assert loudest >= 20 * math.log10(in_tones[-1] / 20e-6) - 1e-9
    rows = impulse_rows(rattle)
    assert len(rows) == len(over.moments)
    assert rows[0].time == f"{times[0]:.3f}"
    assert "a click" in impulse_words(next(one for one in rattle.impulses if one.is_short))


def test_bounds_say_at_most_and_estimates_have_an_interval() -> None:
    rub, quiet = seen(buzzing()), seen(good())
    heard = {fact.name: fact for fact in tone_facts(rub, 0)}
    hidden = {fact.name: fact for fact in tone_facts(quiet, 0)}
    assert heard["repeats, peak"].interval.startswith("±")
    assert not heard["repeats, peak"].value.startswith("≤")
    assert heard["place in the cycle"].value.endswith("°")
    assert hidden["repeats, peak"].value.startswith("≤ −")
    assert hidden["repeats, peak"].interval == ""
    assert "at most" in hidden["repeats, peak"].note
    assert hidden["place in the cycle"].value == "—"
    assert hidden["clicks"].value == "0"
    assert tone_rows(quiet)[0].repeats.startswith("≤ −")
    # What was heard counts before what noise may hide.
    assert loudest_tone(rub) == 0


def test_the_interval_of_a_tone_has_the_microphone_s_response_in_it() -> None:
    finished = buzzing()
    reading = finished.derived.defects
    assert reading is not None
    chain = finished.take.chain.chain
    pressure = chain.input.pressure
    assert pressure is not None
    vague = pressure.model_copy(update={"response_uncertainty_db": 1.0})
    inputs = chain.input.model_copy(update={"pressure": vague})
    found = defects_seen(reading, chain=chain.model_copy(update={"input": inputs}))
    figure = reading.tones[0].sync_peak_db
    # Two frequencies, independent: the root of two times 1 dB, and the noise's own.
    expected = math.hypot(math.sqrt(2.0), float(figure.uncertainty))
    assert found.interval_db(figure) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (0.0, "outermost"),
        (44.0, "outermost"),
        (-90.0, "on the way out"),
        (90.0, "on the way in"),
        (179.0, "innermost"),
        (-179.0, "innermost"),
    ],
)
def test_a_place_in_the_cycle_has_a_name(degrees: float, words: str) -> None:
    assert place_words(math.radians(degrees)) == words


def test_findings_come_first_then_what_was_heard() -> None:
    finished = buzzing()
    found = replace(shown(finished), take=replace(finished.take, findings=(_RUB,)))
    state = findings_state(found, seen(finished))
    assert state.said[0].sentence.startswith("Likely cause: coil rub, 93 % sure.")
    assert any("repeats with the period" in one.sentence for one in state.said)
    words = words_of_defects(found, seen(finished))
    assert words.happened == "Take 7 points to coil rub, 93 % sure."
    assert "centre the coil" in words.next


def test_a_good_unit_is_told_as_one_and_a_take_without_tones_what_to_choose() -> None:
    unit = good()
    assert words_of_defects(shown(unit), seen(unit)).mark is Mark.GOOD
    (said,) = findings_state(shown(unit), seen(unit)).said
    assert said.sentence == "Nothing irregular stands clear of the noise."
    assert "line-defects" in words_without_residual(3).next
    reading = unit.derived.defects
    assert reading is not None
    swept = defects_seen(replace(reading, tones=()), chain=unit.take.chain.chain)
    state = findings_state(shown(unit), swept)
    assert "line-defects" in state.said[-1].sentence
    assert [fact.name for fact in sweep_facts(swept)] == ["residual, rms", "clicks"]
    assert loudest_tone(swept) is None
    assert [key for key, _ in pictures(swept)] == [SWEEP]
    assert made_defects.noise().procedure.excitation.kind == "noise"


def test_a_tile_is_told_with_its_order() -> None:
    words = words_of_tile(Tile(x_hz=60.0, y_hz=2400.0, level=31.4))
    assert words.happened == (
        "31 dB re 20 µPa in the sixth octave at 2.4 kHz, while 60 Hz played: about order 40."
    )
