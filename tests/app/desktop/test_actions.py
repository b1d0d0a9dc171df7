"""The table of actions: unambiguous, reachable, and true to where each holds."""

from itertools import combinations

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import ACTIONS, BAYS, EVERYWHERE, Actions, held_in


def test_ids_are_unique() -> None:
    assert len({spec.id for spec in ACTIONS}) == len(ACTIONS)


def test_every_action_has_a_key_or_belongs_to_the_line() -> None:
    # In Line a scanner types: its one action is the serial field's Enter.
    assert {spec.id for spec in ACTIONS if not spec.keys} == {"line.measure"}


def test_no_two_actions_share_a_key_in_one_bay() -> None:
    for one, other in combinations(ACTIONS, 2):
        where_one, where_other = set(one.bays or BAYS), set(other.bays or BAYS)
        if where_one & where_other:
            keys = {QKeySequence(key).toString() for key in one.keys}
            assert not keys & {QKeySequence(key).toString() for key in other.keys}, (one, other)


def test_every_key_is_one_that_qt_knows() -> None:
    for spec in ACTIONS:
        for key in spec.keys:
            assert QKeySequence(key).toString(), spec.id


def test_no_single_letter_acts_in_line() -> None:
    for spec in ACTIONS:
        if not spec.bays or "line" in spec.bays:
            assert not [key for key in spec.keys if len(key) == 1], spec.id


@pytest.mark.parametrize("bay", BAYS)
def test_a_bay_has_what_holds_there_and_shares_what_holds_everywhere(
    qtbot: QtBot, bay: str
) -> None:
    window, page = QWidget(), QWidget()
    qtbot.addWidget(window)
    qtbot.addWidget(page)
    shared = Actions(window, specs=EVERYWHERE)
    actions = Actions(page, specs=held_in(bay), shared=shared)
    for spec in ACTIONS:
        found = actions.find(spec.id)
        assert (found is not None) == (not spec.bays or bay in spec.bays)
        assert (found is shared.find(spec.id)) == (bay not in spec.bays)


def test_what_does_not_hold_is_not_given(qtbot: QtBot) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    with pytest.raises(KeyError):
        Actions(page, specs=held_in("line")).of("play")
