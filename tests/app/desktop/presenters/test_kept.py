"""Kept calibrations as they are listed, drawn and opened; figures by hand beside them."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from app.desktop.presenters.calibration_sheet import sheet_state
from app.desktop.presenters.chain_history import history
from app.desktop.presenters.kept_drift import kept_drift
from app.desktop.presenters.kept_rows import kept_rows, link_rows
from app.desktop.presenters.kept_words import change_words, last_before, link_called
from app.desktop.presenters.mark import Mark
from app.records.calibration_record import CalibrationRecord, Purpose
from hardware.chain.edit import with_chain_values
from tests.app.records.made_calibrations import LEAK, PASSED, make_calibration, make_result
from tests.app.records.made_takes import CHAIN

FIRST_DAY = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)


def made(
    number: int, value: float, *, refused: bool = False, check: bool = False
) -> CalibrationRecord:
    return make_calibration(
        seed=number,
        made_utc=FIRST_DAY + timedelta(days=30 * number),
        results=(make_result(value=value, checks=(PASSED, LEAK) if refused else (PASSED,)),),
        purpose=Purpose.CHECK if check else Purpose.CALIBRATION,
    )


def newest_first(*records: CalibrationRecord) -> tuple[CalibrationRecord, ...]:
    return tuple(sorted(records, key=lambda one: one.made_utc, reverse=True))


def test_a_change_is_told_against_the_last_accepted_one() -> None:
    old, refused, new = made(0, 0.0125), made(1, 0.0140, refused=True), made(2, 0.0126)
    records = newest_first(old, refused, new)
    assert last_before(new, records) is old
    # 20 log10(12.6 / 12.5) = 0.069 dB, and 20 log10(14.0 / 12.5) = 0.984 dB.
    assert change_words(new, old) == "+0.07 dB"
    assert change_words(refused, old) == "+0.98 dB"
    assert change_words(old, None) == "—"
    volts = make_result(value=2.02, quantity="output.drive.full_scale_v")
    percent = replace(volts, unit="V", budget=replace(volts.budget, unit="%"))
    scale = replace(old, results=(replace(percent, value=2.0),))
    later = replace(new, results=(percent,))
    assert change_words(later, scale) == "+1.00 %"


def test_the_list_keeps_refused_ones_and_says_what_stands() -> None:
    old, refused, new = made(0, 0.0125), made(1, 0.0140, refused=True), made(2, 0.0126)
    check = made(3, 0.01261, check=True)
    rows = kept_rows(newest_first(old, refused, new, check), in_force={new.id})
    assert [row.standing for row in rows] == ["check", "in force", "refused", "accepted"]
    assert [row.mark for row in rows] == [Mark.GOOD, Mark.GOOD, Mark.BAD, Mark.NONE]
    assert rows[1].made == "2026-05-01 08:30"
    assert rows[1].by == "N. N."
    assert rows[1].instrument == "pistonphone, class 1"
    assert "2026-05-01 08:30 UTC, pistonphone, class 1, No. P-19" in rows[1].note
    assert rows[1].certificate == "K-2026-114"
    assert rows[1].value == "12.60 ±0.23 mV/Pa"  # 0.155 dB, k = 2, are 1.8 % of it
    assert "a leak" in rows[2].note


def test_what_was_typed_stands_among_what_was_kept() -> None:
    forms = [
        {"calibrated_on": "2026-01-10", "sensitivity_v_per_pa": 0.0124},
    ]
    kept = made(0, 0.0125)
    chain = with_chain_values(
        CHAIN,
        {
            ("input", "pressure", "sensitivity_v_per_pa"): 0.0125,
            ("input", "pressure", "calibrated_on"): FIRST_DAY.date(),
        },
    ).chain
    told = history(chain, "microphone", forms, records=[kept])
    assert [one.day for one in told.entries] == [date(2026, 1, 10), FIRST_DAY.date()]
    rows = link_rows(told, [kept], in_force={kept.id})
    assert [row.is_kept for row in rows] == [True, False]
    assert rows[1].instrument == "typed, no record"
    assert rows[1].change == "—"
    # 20 log10(12.5 / 12.4), by hand.
    assert told.entries[1].drift == pytest.approx(0.0698, abs=0.0005)


def test_control_limits_need_five_and_lie_about_the_values_before_the_last() -> None:
    values = (0.0125, 0.01251, 0.0125, 0.01249, 0.0125, 0.0125)
    records = newest_first(*(made(n, value) for n, value in enumerate(values)))
    few = kept_drift(history(CHAIN.chain, "microphone", [], records=records[:4]), records[:4])
    assert few.limits is None
    told = history(CHAIN.chain, "microphone", [], records=records)
    drawn = kept_drift(told, records)
    assert drawn.limits is not None
    low, high = drawn.limits
    # Moving ranges of the first five: 0.00694 dB each; 3/1.128 of their mean, either way.
    assert (high - low) / 2 == pytest.approx(3 / 1.128 * 0.00694, rel=0.01)
    assert (high + low) / 2 == pytest.approx(0.0, abs=0.001)
    assert drawn.words == "control limits"


def test_a_refused_one_is_drawn_near_what_is_shown() -> None:
    records = newest_first(made(0, 0.0125), made(1, 0.00125, refused=True))
    told = history(CHAIN.chain, "microphone", [], records=records)
    (point,) = kept_drift(told, records).refused
    assert point.words == "refused: a leak"
    assert -1.0 < point.drift < 0.0  # 20 dB lower: told, not drawn there


def test_a_sheet_tells_everything_that_the_record_holds() -> None:
    old, new = made(0, 0.0125), made(1, 0.0140, refused=True)
    state = sheet_state(new, newest_first(old, new), in_force=frozenset({old.id}))
    assert (
        state.title
        == f"{link_called(new)}, 2026-04-01 08:30 UTC"
        == ("Microphone, 2026-04-01 08:30 UTC")
    )
    assert (state.found.mark, state.found.word) == (Mark.BAD, "refused")
    assert [one.mark for one in state.found.checks] == [
        Mark.BAD,
        Mark.GOOD,
    ]  # what failed comes first
    facts = dict(state.facts)
    assert facts["Done by"] == "N. N."
    assert facts["Its paper"] == "K-2026-114, holds until 2027-05-01"
    assert facts["Air"] == "22.5 °C, 100.8 kPa, 41 %"
    assert facts["Since last"] == "+0.98 dB"
    assert state.note == new.note
    # k = 2 for the instrument alone; 2 times 0.075 dB, and 2 times 0.02 dB.
    assert [(one.name, one.value) for one in state.found.budget] == [
        ("instrument", "0.15"),
        ("repeatability", "0.04"),
        ("together", "0.16"),
    ]
    kept = sheet_state(old, newest_first(old, new), in_force=frozenset({old.id}))
    assert (kept.found.mark, kept.found.word) == (Mark.GOOD, "in force")
