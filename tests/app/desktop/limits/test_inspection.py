"""What inspection found is noted where it is needed, and counted at once."""

from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.procedure.edit_masks import offset
from tests.app.desktop.limits.seen_bay import settled


def test_a_unit_that_was_inspected_counts_at_once(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.edit(lambda mask: offset(mask, upper_by=-2.25, lower_by=0.0), text="Offset")
    settled(bay, qtbot)
    panel = bay.side.inspection
    assert panel.isHidden()
    row = next(one for one in bay.side.flips.rows if one.serial == "0018")
    bay.side.flips.pressed.emit(row.unit)
    assert not panel.isHidden()
    bay.actions_table.of("mark_bad").trigger()
    assert panel.by.refusal == "Missing: a name."
    panel.by.set_text("inspection")
    panel.why.set_text("heard a buzz")
    bay.actions_table.of("mark_bad").trigger()
    qtbot.waitUntil(lambda: "T4-W31-0018" in bay.bench.store.marks())
    settled(bay, qtbot)
    qtbot.waitUntil(lambda: bay.side.flips.rows[0].serial == "0018")
    assert bay.side.flips.rows[0].why == "bad, heard a buzz (level)"
    assert bay.words.happened == "T4-W31-0018 was found bad."
    # It is still drawn, and stands at the head of those that change.
    assert [line.name for line in bay.units.plot.lines] == ["0018"]
    mark = bay.bench.store.marks()["T4-W31-0018"]
    assert (mark.mark, mark.by) == ("bad", "inspection")


def test_without_a_drawn_unit_the_keys_do_nothing(bay: LimitsBay) -> None:
    before = bay.bench.store.marks()
    bay.actions_table.of("mark_good").trigger()
    assert bay.bench.store.marks() == before
