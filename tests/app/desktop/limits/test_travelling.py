"""Limits come from a file or a customer's table, and go out as a file that comes back the same."""

from pathlib import Path

from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.presenters.mark import Mark
from app.procedure.edit_masks import offset, points_of
from app.procedure.limit_file import read_limit_file
from tests.app.desktop.limits.seen_bay import settled
from tests.app.measure.trial_store import PROCEDURE


def test_limits_go_out_as_a_file_and_come_back(
    qtbot: QtBot, bay: LimitsBay, tmp_path: Path
) -> None:
    path = tmp_path / "limits.toml"
    bay.export.export_to(path)
    settled(bay, qtbot)
    assert bay.words.happened == "The limits are written to limits.toml."
    assert dict(read_limit_file(path).masks) == dict(PROCEDURE.masks)
    bay.draft.edit(lambda mask: offset(mask, upper_by=1.0, lower_by=0.0), text="Offset")
    bay.travelling.import_from(path)
    settled(bay, qtbot)
    assert bay.words.happened == "2 masks of limits.toml are on the bench."
    assert dict(bay.bench.procedure.procedure.masks) == dict(PROCEDURE.masks)
    bay.bench.undo_stack.undo()
    assert dict(bay.bench.procedure.procedure.masks) != dict(PROCEDURE.masks)


def test_a_customer_s_table_is_pasted_into_the_chosen_mask(qtbot: QtBot, bay: LimitsBay) -> None:
    QGuiApplication.clipboard().setText(
        "Frequency [kHz]\tUpper [dB]\tLower [dB]\n0,2\t2,5\t-2,5\n8\t4\t-4\n"
    )
    bay.actions_table.of("paste_limits").trigger()
    settled(bay, qtbot)
    mask = bay.draft.mask
    assert mask is not None
    assert points_of(mask, side="upper") == ((200.0, 2.5), (8000.0, 4.0))
    assert points_of(mask, side="lower") == ((200.0, -2.5), (8000.0, -4.0))
    assert bay.words.happened.startswith("The table is the limits of Level.")


def test_what_is_no_table_or_no_file_is_told_and_changes_nothing(
    qtbot: QtBot, bay: LimitsBay, tmp_path: Path
) -> None:
    QGuiApplication.clipboard().setText("dear customer")
    bay.actions_table.of("paste_limits").trigger()
    settled(bay, qtbot)
    assert bay.words.mark is Mark.BAD
    assert bay.words.happened.startswith("Not pasted: ")
    bay.draft.choose("resonance")
    bay.actions_table.of("paste_limits").trigger()
    assert bay.words.happened == "Not pasted: a table is for a mask over frequency."
    wrong = tmp_path / "wrong.toml"
    wrong.write_text("[masks.level]\nquantity = 'lvel'\nupper = 1.0\n", encoding="utf-8")
    bay.travelling.import_from(wrong)
    settled(bay, qtbot)
    assert "wrong.toml" in bay.words.happened
    assert bay.bench.procedure.procedure is PROCEDURE
