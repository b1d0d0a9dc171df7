"""Limits as a table for spreadsheets: what is written reads back; what is wrong names its line."""

from pathlib import Path

import pytest

from app.procedure.limit_csv import COLUMNS, limit_csv_text, read_limit_csv
from app.procedure.mask_schema import Mask
from app.procedure.shipped import find_procedure
from hardware.errors import FileError

HEAD = ",".join(COLUMNS)

MASKS = {
    **find_procedure("line-check").procedure.masks,
    "shape, aligned": Mask(
        quantity="level",
        upper=((100.0, 1.5), (0.1 + 0.2 + 1000, 2.0)),
        lower=-2.25,
        relative_to="reference",
        align="level",
        align_band_hz=(200.0, 2000.0),
        guard=0.5,
    ),
}


def test_a_table_reads_back_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "limits.csv"
    file.write_text(limit_csv_text(MASKS), encoding="utf-8")
    assert read_limit_csv(file) == MASKS


def test_a_spreadsheet_may_put_a_mark_before_the_text(tmp_path: Path) -> None:
    file = tmp_path / "limits.csv"
    file.write_text(limit_csv_text(MASKS), encoding="utf-8-sig", newline="\r\n")
    assert read_limit_csv(file) == MASKS


ROW = "level,level,,,,,0,upper,100,90"
REFUSED = [
    ("", "1: other columns: given nothing"),
    ("a,b\n1,2\n", "1: other columns: given a,b"),
    (f"{HEAD}\n{ROW},7\n", "2: columns: given 11, allowed 10"),
    (f"{HEAD}\n{ROW.replace('90', 'much')}\n", "2 value: no number: given much"),
    (f"{HEAD}\n{ROW.replace('upper', 'top')}\n", "2 limit: no such limit: given top"),
    (f"{HEAD}\n{ROW}\n{ROW.replace(',0,', ',1,')}\n", "3: mask level is told otherwise further up"),
    (f"{HEAD}\n{ROW}\n{ROW.replace('100', '')}\n", "3: the upper limit is told twice"),
    (f"{HEAD}\n{ROW.replace('100', '')}\n{ROW}\n", "3: the upper limit is one value and points"),
    (f"{HEAD}\n{ROW.replace(',level,', ',levle,')}\n", "masks.level.quantity: unknown quantity"),
    (f"{HEAD}\n{ROW}\n{ROW}\n", "masks.level.upper: point 2 does not rise in frequency"),
    (f"{HEAD}\n", "masks"),
]


@pytest.mark.parametrize(("text", "line"), REFUSED)
def test_what_is_wrong_names_its_line(tmp_path: Path, text: str, line: str) -> None:
    file = tmp_path / "limits.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(FileError) as refused:
        read_limit_csv(file)
    assert str(refused.value).startswith(str(file))
    assert line in str(refused.value)
    assert "\n" not in str(refused.value)
