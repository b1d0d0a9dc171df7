"""Lots and weeks: first takes are counted and charted, and a lot is two presses from its units."""

import math
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.presenters.limits_lots import lots_state
from app.desktop.presenters.mark import Mark
from app.measure.lot_figures import Bar, LotFigures, LotReport
from dsp.statistics.control_chart import p_chart
from dsp.statistics.proportion import proportion
from tests.app.desktop.limits.seen_bay import settled

DAY = datetime(2031, 3, 3, tzinfo=UTC)


def group(name: str, passed: int, units: int = 200) -> LotFigures:
    failed = units - passed
    masks = (Bar(name="level", count=failed, share=1.0, running=1.0),) if failed else ()
    return LotFigures(
        name=name,
        since_utc=DAY,
        until_utc=DAY,
        units=units,
        first_pass=proportion(passed, of=units),
        undecided=0,
        masks=masks,
        findings=(),
    )


@pytest.fixture
def report() -> LotReport:
    groups = (group("T4-W30", 190), group("T4-W31", 188), group("T4-W32", 160))
    chart = p_chart([10, 12, 40], [200, 200, 200])
    return LotReport(groups=groups, total=replace(groups[0], name="", units=600), chart=chart)


def test_a_lot_beyond_its_control_limits_is_marked(report: LotReport) -> None:
    state = lots_state(report, figure=None)
    assert [row.mark for row in state.rows] == [None, None, Mark.CAUTION]
    assert state.rows[2].cells[:3] == ("T4-W32", "200", "80.0 %")
    assert state.points.y == pytest.approx([5.0, 6.0, 20.0])
    assert state.points.fails is not None
    assert list(state.points.fails) == [False, False, True]
    assert state.limits is not None
    mean = 100 * 62 / 600  # %; limits by the binomial deviation of 200 units
    assert state.limits.upper == pytest.approx(mean + 3 * math.sqrt(mean * (100 - mean) / 200))
    assert "1 of 3 points are out of control" in state.words
    assert state.masks[0].cells == ("Level", "10", "100 %", "100 %")


def test_without_a_unit_it_says_what_will_come() -> None:
    state = lots_state(LotReport(groups=(), total=None, chart=None), figure=None)
    assert state.words == "No unit of this procedure was judged yet."
    assert state.hint.startswith("Units that were judged appear here")
    assert state.rows == ()


def test_l_shows_lots_and_a_press_on_one_its_units(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.actions_table.of("lots").trigger()
    settled(bay, qtbot)
    page = bay.lots_page
    assert page.isVisible()
    assert not bay.units.isVisible()
    assert [row.cells[0] for row in page.table.rows] == ["T4-W31", "T4-W32"]
    assert page.words.startswith("20 of 20 units passed at once")
    page.figure.set_key("resonance")
    page.figure.chosen.emit("resonance")
    settled(bay, qtbot)
    assert "esonance" in page.plot.title
    assert np.all(np.isfinite(page.plot.scene.points.y))
    page.by.set_key("week")
    page.by.chosen.emit("week")
    settled(bay, qtbot)
    assert all("-W" in row.cells[0] for row in page.table.rows)
    page.by.set_key("lot")
    page.by.chosen.emit("lot")
    settled(bay, qtbot)
    page.lot_pressed.emit("T4-W32")
    settled(bay, qtbot)
    assert bay.units.isVisible()
    assert bay.keeper.lot == "T4-W32"
