"""What the operator is told: the verdict, where the unit goes, and why."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from app.desktop.presenters.finding_words import bare_step, next_step
from app.desktop.presenters.line_panel import (
    Ground,
    PanelState,
    failed_panel,
    measuring_panel,
    stale_panel,
    stopped_panel,
    take_panel,
    waiting_panel,
)
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_stale import stale_on
from app.desktop.run_state import Failure, RunState
from app.measure.events import State
from app.measure.retake import told as told_again
from app.procedure.signatures import shipped_signatures
from app.records.take import Finding, Take
from dsp.conformity.verdict import Verdict
from tests.app.desktop.line.judged import broken, held, judged, undecided
from tests.app.desktop.measure import made
from tests.app.procedure.designed_causes import CAUSES

NOW = datetime(2026, 7, 29, 16, 0, tzinfo=timezone(timedelta(hours=2)))


def panel(take: Take, *, again: bool = False) -> PanelState:
    dated = replace(take, started_utc=datetime(2026, 7, 29, 12, 36, tzinfo=UTC))
    return take_panel(dated, number=43, now=NOW, again=again)


def test_a_good_unit_goes_to_the_green_rack() -> None:
    told = panel(made.good().take)
    assert (told.ground, told.mark, told.words) == (Ground.GOOD, Mark.GOOD, ("Conforms",))
    assert (told.serial, told.stamp) == ("T4-W31-0417", "take 43, 14:36")
    assert told.action == "Green rack."
    assert not told.can_repeat


def test_the_least_margin_is_the_least_as_a_ratio() -> None:
    # 1.9 dB are nearer than 3 ohm of 7, which are 3 dB, though 1.9 of 7 ohm would be nearer.
    far = {name: held(60.0, hz=500.0) for name in made.good().take.masks}
    near = far | {"level": held(1.9, hz=630.0), "impedance": held(3.0, hz=500.0)}
    told = panel(judged(**near)).reason
    assert told.startswith("Least margin 1.9")
    assert told.endswith(" dB, level at 630 Hz.")
    told = panel(judged(**near | {"impedance": held(0.4, hz=500.0)})).reason
    assert told.endswith(" Ω, impedance at 500 Hz.")


def test_a_bad_unit_goes_to_the_red_rack_and_the_worst_is_told_first() -> None:
    thd = made.good().take.curves["thd"]
    value = float(np.interp(np.log(100.0), np.log(thd.frequency_hz), thd.value))
    told = panel(judged(level=broken(-1.25, hz=3200.0), thd=broken(-0.9 * value, hz=100.0)))
    assert (told.ground, told.words) == (Ground.BAD, ("Does not", "conform"))
    assert told.action == "Red rack."
    # Ten times what is allowed are 20 dB: far more than 1.25 dB, though fewer per cent.
    assert told.cause == "THD is 20 dB over its limit at 100 Hz."
    assert told.reason == "Also broken: level."


def test_one_broken_mask_says_that_the_others_are_held() -> None:
    told = panel(judged(level=broken(-1.25, hz=3200.0)))
    assert told.cause.startswith("Level is 1.2")
    assert told.cause.endswith(" dB outside its limits at 3.2 kHz.")
    assert told.reason == "The other 5 masks are held."


def test_a_likely_cause_stands_first_with_how_sure_it_is() -> None:
    take = replace(
        judged(high_order=broken(-0.5, hz=105.0)),
        findings=(Finding(cause="coil rub", confidence=0.82, because=()),),
    )
    told = panel(take)
    assert told.cause == "Likely cause: coil rub, 82 % sure"
    assert told.action == "Red rack."
    assert told.reason.startswith("Rework: centre the coil. High order is ")


def test_a_fault_of_the_chain_sends_the_operator_to_the_station_and_not_to_the_rack() -> None:
    take = replace(
        judged(high_order=broken(-0.5, hz=105.0)),
        findings=(Finding(cause="chain fault", confidence=0.97, because=()),),
    )
    told = panel(take)
    assert (told.action, told.can_repeat) == ("Check the station.", True)
    assert told.then == "Check leads and microphone, then measure again."


def test_a_chain_fault_is_told_with_what_speaks_for_it_decided_or_not() -> None:
    fault = Finding(cause="chain fault", confidence=0.97, because=("no current flows", "x"))
    failed = judged(high_order=broken(-0.5, hz=105.0))
    open_ = judged(level=undecided("no value"))
    for take in (failed, open_):
        told = panel(replace(take, findings=(fault,)))
        assert told.action == "Check the station."
        assert told.cause == "Likely cause: chain fault, 97 % sure"
        assert told.reason.startswith("No current flows.")
        assert told.can_repeat


def test_a_dead_microphone_is_looked_at_also_where_no_finding_names_it() -> None:
    deaf = "the microphone did not hear the tones of 60, 100 and 160 Hz"
    told = panel(judged(level=undecided("no value"), particles=undecided(deaf)))
    assert (told.ground, told.action, told.can_repeat) == (
        Ground.UNDECIDED,
        "Check the station.",
        True,
    )
    assert told.then == "Check leads and microphone, then measure again."
    assert told.reason == f"T{deaf[1:]}."


def test_a_unit_of_another_type_goes_to_no_rack_before_its_order_is_looked_at() -> None:
    take = replace(
        judged(level=broken(-5.0, hz=1000.0)),
        findings=(Finding(cause="wrong unit", confidence=0.9, because=()),),
    )
    told = panel(take)
    assert (told.action, told.then) == ("Set it aside.", "Compare its type with the order.")


@pytest.mark.parametrize("cause", CAUSES)
def test_every_cause_says_where_the_unit_goes_and_what_is_done_with_it(cause: str) -> None:
    take = replace(
        judged(level=broken(-5.0, hz=1000.0)),
        findings=(Finding(cause=cause, confidence=0.9, because=("why",)),),
    )
    told = panel(take)
    assert told.action in {"Red rack.", "Set it aside.", "Check the station."}
    whole = told.spoken
    step = next_step(take.findings[0]).rstrip(".")
    assert step in whole or "inspection" in whole
    assert cause in told.cause or cause == "cannot tell"
    assert "Level is 5" in told.reason


def test_a_unit_that_conforms_but_is_unusual_goes_to_the_green_rack_with_a_word() -> None:
    leak = Finding(cause="air leak", confidence=0.62, because=())
    told = panel(replace(made.good().take, findings=(leak,)))
    assert told.action == "Green rack."
    assert told.cause == "Unusual, though it conforms. Likely cause: air leak, 62 % sure"
    unknown = Finding(cause="cannot tell", confidence=0.9, because=())
    assert panel(replace(made.good().take, findings=(unknown,))).cause == ""


def test_a_take_that_was_made_again_says_so_and_one_disturbed_to_the_end_waits_for_quiet() -> None:
    once = replace(made.good().take, warnings=(told_again(1, still=False),))
    assert panel(once).reason.endswith("Made again once, because something else was heard.")
    still = (told_again(2, still=True),)
    failed = panel(replace(judged(level=broken(-5.0, hz=1000.0)), warnings=still))
    assert failed.reason.endswith("Made again twice; something else was heard each time.")
    assert failed.can_repeat
    undone = panel(replace(judged(level=undecided("hidden by noise")), warnings=still))
    assert (undone.action, undone.can_repeat) == ("Wait for quiet.", True)
    assert "Enter" in undone.then


def test_a_cause_that_cannot_be_told_says_so_and_what_to_do() -> None:
    take = replace(
        judged(high_order=broken(-0.5, hz=105.0)),
        findings=(Finding(cause="cannot tell", confidence=0.7, because=()),),
    )
    told = panel(take)
    assert told.cause == "The cause cannot be told"
    assert told.action == "Red rack."
    assert told.then == "Mark it for inspection. Then scan the next unit."


def test_every_cause_that_ships_has_a_next_step_of_its_own() -> None:
    causes = shipped_signatures().causes
    for name, one in causes.items():
        finding = Finding(cause=one.cause or name, confidence=0.9, because=())
        assert next_step(finding) != f"Rework: {finding.cause}."
    own = Finding(cause="spider glue", confidence=0.9, because=())
    assert next_step(own) == "Rework: spider glue."
    assert bare_step(own) == "look for spider glue."
    assert bare_step(Finding(cause="coil rub", confidence=0.9, because=())) == "centre the coil."


def test_reversed_polarity_is_said_in_words() -> None:
    told = panel(judged(polarity=broken(-1.0)))
    assert told.cause == "The polarity is reversed."


def test_too_near_to_a_limit_is_measured_again_and_then_set_aside() -> None:
    take = judged(level=undecided("within the guard band at 630 Hz", margin=0.1, hz=630.0))
    first = panel(take)
    assert (first.ground, first.action) == (Ground.UNDECIDED, "Measure again.")
    assert first.can_repeat
    assert first.reason.startswith("Level at 630 Hz is 0.1")
    assert "the interval is ±" in first.reason
    second = panel(take, again=True)
    assert second.action == "Set it aside."
    assert "twice" in second.cause


def test_what_another_take_cannot_change_is_for_the_technician() -> None:
    told = panel(judged(level=undecided("no reference take")))
    assert told.action == "Call the technician."
    assert told.reason == "No reference take."


def test_a_stale_link_is_named() -> None:
    take = made.stale().take
    told = take_panel(take, number=1, now=NOW, again=False)
    assert told.cause == "The microphone was stale."
    assert told.action == "Call the technician."
    assert not told.can_repeat


def test_no_mask_judges_nothing_and_says_so() -> None:
    told = panel(replace(made.good().take, masks={}, verdict=Verdict.NOT_JUDGED))
    assert (told.ground, told.mark, told.words) == (Ground.PAPER, Mark.NONE, ("Not", "judged"))
    assert told.cause == "The procedure has no mask to judge by."
    assert "Limits (Ctrl 3)" in told.reason


def test_another_day_is_written_out() -> None:
    take = replace(made.good().take, started_utc=datetime(2026, 7, 28, 23, 0, tzinfo=UTC))
    assert take_panel(take, number=7, now=NOW, again=False).stamp == "take 7, 01:00"
    before = replace(take, started_utc=datetime(2026, 7, 28, 21, 0, tzinfo=UTC))
    assert take_panel(before, number=7, now=NOW, again=False).stamp == "take 7, 2026-07-28 23:00"


def test_while_it_is_measured_the_last_digits_are_large() -> None:
    told = measuring_panel(RunState(phase=State.PLAYING, number=44, unit="T4-W31-0419"))
    assert told.words == ("Measuring", "0419")
    assert (told.ground, told.mark, told.stamp) == (Ground.PAPER, Mark.BUSY, "take 44")


def test_while_it_is_made_again_the_operator_is_told_why() -> None:
    run = RunState(phase=State.PLAYING, number=44, unit="T4-W31-0419", again=1)
    assert measuring_panel(run).cause == "Something else was heard, so it plays again."


@pytest.mark.parametrize(
    ("safe", "words"),
    [(0, "the store is empty"), (1, "take 1 is safe"), (41, "takes 1 to 41 are safe")],
)
def test_a_lost_card_says_what_is_safe_and_what_to_do(safe: int, words: str) -> None:
    failure = Failure(sentence="Bench card: gone", card_lost=True, at="14:36:02", played_s=0.4)
    told = failed_panel(failure, unit="T4-W31-0419", safe=safe)
    assert (told.mark, told.words) == (Mark.BAD, ("Sound card", "lost"))
    assert told.then == "Then press F5."
    assert told.reason == f"Nothing of T4-W31-0419 was kept; {words}."


def test_any_other_failure_tells_its_sentence() -> None:
    failure = Failure(sentence="output.drive: too loud", card_lost=False, at="14:36:02", played_s=0)
    told = failed_panel(failure, unit=None, safe=2)
    assert told.cause == "output.drive: too loud."
    assert not told.can_repeat


def test_a_stopped_take_can_be_repeated() -> None:
    told = stopped_panel(RunState(phase=State.STOPPED, unit="T4-W31-0419", played_s=0.42))
    assert told.can_repeat
    assert "0.42 s" in told.reason


def test_a_stale_chain_stops_the_line_before_the_first_unit() -> None:
    take = made.stale().take
    link = stale_on(take.chain.chain, on=take.started_utc.date())[0]
    told = stale_panel(link)
    assert (told.ground, told.mark) == (Ground.UNDECIDED, Mark.STALE)
    assert told.cause.startswith("The microphone is ")


def test_every_panel_can_be_read_aloud_and_needs_no_colour() -> None:
    panels = [
        waiting_panel(),
        panel(made.good().take),
        panel(judged(level=broken(-1.0, hz=100.0))),
        panel(judged(level=undecided("no value at 80 Hz"))),
    ]
    assert len({told.mark for told in panels}) == len(panels)
    assert len({told.words for told in panels}) == len(panels)
    for told in panels:
        assert " ".join(told.words) in told.spoken
        assert told.action.rstrip(".") in told.spoken
