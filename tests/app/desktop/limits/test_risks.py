"""What a mask sorts wrongly stands under its guard band.

Twenty units at -0.9 … +1.0 dB, known to 0.2 dB (k = 2), so a standard uncertainty of 0.1 dB.
Against +0.55 dB without guard, risks by the normal distribution (JCGM 106:2012, 9.3): of good
units at 0.5, 0.4, 0.3 dB 31 %, 6.7 %, 0.6 % are stopped, 1.9 % of twenty; of bad ones at 0.6, 0.7,
0.8 dB 31 %, 6.7 %, 0.6 % pass, 1.9 % likewise.
"""

from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.procedure.mask_schema import Mask
from tests.app.desktop.limits.seen_bay import drag, let_go, settled


def put(bay: LimitsBay, qtbot: QtBot, *, upper: float, lower: float, guard: float = 0.0) -> None:
    mask = Mask(
        quantity="level",
        upper=((100.0, upper), (10_000.0, upper)),
        lower=((100.0, lower), (10_000.0, lower)),
        guard=guard,
    )
    bay.draft.put_masks({**bay.bench.procedure.procedure.masks, "level": mask}, text="limits")
    settled(bay, qtbot)


def said(bay: LimitsBay) -> str:
    return bay.column.point.risks.text().replace("\N{NO-BREAK SPACE}", " ")


def test_both_risks_and_the_room_stand_under_the_guard_band(qtbot: QtBot, bay: LimitsBay) -> None:
    put(bay, qtbot, upper=0.55, lower=-3.0)
    assert said(bay) == (
        "Producer's risk 1.9 %, consumer's 1.9 %; undecided 0 %. T/U 8.9 at 100 Hz."
    )
    assert bay.column.point.warning.isHidden()
    put(bay, qtbot, upper=0.55, lower=-3.0, guard=1.0)
    assert "consumer's 0." in said(bay)
    assert "undecided 0 %" not in said(bay)


def test_a_gauge_too_coarse_for_the_limits_is_told(qtbot: QtBot, bay: LimitsBay) -> None:
    put(bay, qtbot, upper=0.3, lower=-0.3)
    assert "T/U 1.5" in said(bay)
    assert bay.column.point.warning.text().startswith("The gauge is too coarse for this limit")
    assert bay.column.point.warning.isVisible()


def test_numbers_have_risks_too(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.choose("resonance")
    settled(bay, qtbot)
    # 70 to 80 Hz, known to 0.5 Hz: half of 10 Hz is ten times that.
    assert said(bay).endswith("T/U 10.")


def test_under_a_moving_hand_nothing_is_worked_out(qtbot: QtBot, bay: LimitsBay) -> None:
    before = said(bay)
    assert before.startswith("Producer's risk")
    drag(bay, "upper", 1, hz=1000.0, value=0.5)
    settled(bay, qtbot)
    assert said(bay) == before
    let_go(bay, hz=1000.0, value=0.5)
    settled(bay, qtbot)
    assert said(bay) != before


def test_without_units_nothing_is_claimed(empty_bay: LimitsBay) -> None:
    assert empty_bay.column.point.risks.isHidden()


def test_in_the_lowest_window_risks_are_the_tip_of_the_guard_band(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    point = bay.column.point
    assert point.risks.isVisible()
    bay.resize(1024, 440)
    qtbot.waitUntil(point.risks.isHidden)
    assert point.risks.text() in point.guard.toolTip()
