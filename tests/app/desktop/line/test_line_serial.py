"""A serial is taken as the scanner gave it, completed for who types, or refused in one line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.presenters.line_serial import (
    SerialHint,
    completed,
    hint_of,
    hint_of_lot,
    while_measuring,
    while_stale,
    why_doubted,
    why_refused,
)

HINT = SerialHint(prefix="T4-W31-", digits=4)


@pytest.mark.parametrize(
    ("serial", "hint"),
    [
        ("T4-W31-0418", HINT),
        ("T4-REF-2", SerialHint(prefix="T4-REF-", digits=1)),
        ("0418", SerialHint()),  # nothing before the digits to be left out
        ("T4-W31-A", SerialHint()),
        (None, SerialHint()),
    ],
)
def test_the_hint_comes_from_the_last_serial(serial: str | None, hint: SerialHint) -> None:
    assert hint_of(serial) == hint


@pytest.mark.parametrize(
    ("typed", "serial"),
    [
        ("0419", "T4-W31-0419"),
        (" 0419 ", "T4-W31-0419"),
        ("T4-W32-0001", "T4-W32-0001"),
        ("419", "419"),  # not as many digits as a serial has: taken as it is
        ("20419", "20419"),
        ("", ""),
    ],
)
def test_digits_alone_are_completed(typed: str, serial: str) -> None:
    assert completed(typed, hint=HINT) == serial


@given(typed=st.text(max_size=20))
def test_without_a_hint_nothing_is_added(typed: str) -> None:
    assert completed(typed, hint=SerialHint()) == typed.strip()


def test_the_prefix_is_shown_only_while_it_would_be_used() -> None:
    assert [HINT.shows_for(typed) for typed in ("", "0", "0419", "04190", "T")] == [
        True,
        True,
        True,
        False,
        False,
    ]


@pytest.mark.parametrize(
    ("serial", "says"),
    [
        ("", "Nothing was read"),
        ("X" * 65, "given 65 characters, allowed 1 to 64"),
        ("T4\tW31", "given U+0009"),
    ],
)
def test_refusals_say_what_was_given(serial: str, says: str) -> None:
    assert says in why_refused(serial)
    assert "\n" not in why_refused(serial)


def test_an_ordinary_serial_passes() -> None:
    assert why_refused("T4-W31-0419") == ""
    assert why_refused("Ö 12/7") == ""


def test_one_reference_unit_does_not_change_what_the_lot_begins_with() -> None:
    serials = ["T4-REF-2", "T4-W31-0418", "T4-W31-0417", None]
    assert hint_of_lot(serials) == HINT
    assert hint_of_lot([None, "no digits"]) == SerialHint()


def test_a_unit_of_another_lot_is_doubted() -> None:
    said = why_doubted("T4-W30-0100", hint=HINT, lot="T4-W31")
    assert said.startswith("Not as lot T4-W31: given T4-W30-0100, units of it begin with T4-W31-.")
    assert why_doubted("T4-W31-0419", hint=HINT, lot="T4-W31") == ""
    assert why_doubted("T4-W30-0100", hint=HINT, lot=None) == ""
    assert why_doubted("T4-W30-0100", hint=SerialHint(), lot="T4-W31") == ""


def test_a_scan_that_came_too_early_is_named() -> None:
    said = while_measuring("T4-W31-0420", measured="T4-W31-0419")
    assert said.startswith("T4-W31-0419 is being measured; T4-W31-0420 was not used.")
    assert "stale" in while_stale("T4-W31-0420", called="microphone")
