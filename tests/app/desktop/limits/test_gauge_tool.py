"""Repeats in the store tell what of the spread is the gauge's own.

Six units half a decibel apart, each twice on two stations 0.2 dB apart, repeats 0.04 dB apart.
Stations differ alike on all units, so that interaction is pooled: repeats 12 · 0.04²/2 / (12 + 5),
root 0.024 dB; between stations 0.2/√2 = 0.141 dB less what repeats add, so the gauge has 0.143 dB;
of units at 0 to 2.5 dB the deviation is 0.935 dB.
Expected mean squares: AIAG, MSA, 4th ed. 2010, chapter III.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.panels.limits.left_column import Tool
from app.procedure.mask_schema import Mask
from app.records.store import Store
from tests.app.desktop.limits.seen_bay import seen_bay, settled
from tests.app.measure.trial_store import keep, unit_take
from tests.app.records.made_takes import CHAIN

OTHER = CHAIN.model_copy(update={"chain": CHAIN.chain.model_copy(update={"name": "bench 3"})})


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made, number = tmp_path_factory.mktemp("repeats") / "records.sqlite", 0
    with Store.open(made) as store:
        for unit in range(6):
            for station, chain in enumerate((CHAIN, OTHER)):
                for repeat in range(2):
                    number += 1
                    offset = 0.5 * unit + 0.2 * station + 0.04 * repeat
                    take = unit_take(number, offset=offset, chain=chain)
                    started = take.started_utc + timedelta(minutes=number)
                    named = replace(take, unit=f"T4-R-{unit}", lot="T4-R", started_utc=started)
                    keep(store, named, number=number)
    return made


@pytest.fixture
def repeated(qtbot: QtBot, file: Path) -> Iterator[LimitsBay]:
    with seen_bay(Store.open(file), qtbot) as bay:
        yield bay


def begin(bay: LimitsBay, qtbot: QtBot) -> None:
    bay.actions_table.of("gauge").trigger()
    settled(bay, qtbot)


def test_gauge_and_units_are_taken_apart(qtbot: QtBot, repeated: LimitsBay) -> None:
    begin(repeated, qtbot)
    panel = repeated.column.gauge
    assert repeated.column.tool is Tool.GAUGE
    facts = {fact.name: fact for fact in panel.facts.facts}
    assert facts["repeats"].value == "0.024"
    assert facts["stations"].value == "0.14"
    assert (facts["gauge"].value, facts["gauge"].unit) == ("0.14", "dB")
    assert facts["units"].value == "0.94"
    assert facts["of total"].value == "15"  # 0.143 of 0.946
    assert facts["of total"].interval
    assert facts["kinds"].value == "9"  # 1.41 · 0.935 / 0.143
    assert facts["of limits"].value == "14"  # six times 0.143 of 6 dB
    assert "fair for telling units apart" in panel.hint.text()


def test_the_gauge_goes_into_a_proposal(qtbot: QtBot, repeated: LimitsBay) -> None:
    begin(repeated, qtbot)
    QTest.keyClick(repeated.column.gauge.by, Qt.Key.Key_Return)
    assert repeated.column.tool is Tool.PROPOSE
    assert repeated.column.propose.fields["floor"].text() == "0.14"
    before = repeated.draft.mask
    QTest.keyClick(repeated.column.propose.way, Qt.Key.Key_Return)  # where the keyboard is
    qtbot.waitUntil(lambda: repeated.draft.mask != before)


def test_a_number_has_its_own_study_and_one_day_compares_nothing(
    qtbot: QtBot, repeated: LimitsBay
) -> None:
    begin(repeated, qtbot)
    repeated.column.gauge.by.set_key("day")
    repeated.column.gauge.by.chosen.emit("day")
    settled(repeated, qtbot)
    assert "No two days repeated the same units" in repeated.column.gauge.hint.text()
    assert "days" not in {fact.name for fact in repeated.column.gauge.facts.facts}
    repeated.draft.choose("resonance")
    settled(repeated, qtbot)
    # All of them had 75 Hz: nothing differs, and nothing is claimed.
    assert repeated.column.gauge.facts.isHidden()
    assert "nothing is known" in repeated.column.gauge.hint.text()


def test_without_repeats_it_says_what_to_measure(qtbot: QtBot, bay: LimitsBay) -> None:
    begin(bay, qtbot)
    panel = bay.column.gauge
    assert panel.facts.isHidden()
    assert "ten units, each twice or more on every station" in panel.hint.text()
    panel.take()
    assert bay.column.tool is Tool.GAUGE


def test_with_one_limit_the_room_is_counted_from_the_units_middle(
    qtbot: QtBot, repeated: LimitsBay
) -> None:
    mask = Mask(quantity="level", upper=((100.0, 3.0), (10_000.0, 3.0)))
    repeated.draft.put_masks({"level": mask}, text="one limit")
    settled(repeated, qtbot)
    begin(repeated, qtbot)
    facts = {fact.name: fact for fact in repeated.column.gauge.facts.facts}
    # Newest takes lie at 0.24 … 2.74 dB, their median 1.49 dB: three times 0.143 of 1.51 dB.
    assert facts["of limits"].value == "28"
