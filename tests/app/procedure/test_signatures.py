"""The signature file: what it may say, and one line where it may not."""

from pathlib import Path

import pytest

from app.procedure.signatures import (
    FILE,
    SHIPPED,
    load_signatures,
    shipped_signatures,
    signatures_beside,
)
from hardware.errors import FileError
from tests.app.procedure.designed_causes import CAUSES


def test_the_file_that_ships_knows_every_cause() -> None:
    assert {one.cause or name for name, one in shipped_signatures().causes.items()} == set(CAUSES)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("re_ohm = 1.0", "re_om = 1.0", 'numbers: no such name: given "re_om"'),
        ("level = 1.0", "level_phase = 1.0", "curves: no such name"),
        ("band_fs = [3.0, 14.0]", "band_fs = [14.0, 3.0]", "band_fs: does not rise"),
        ('fs_hz = "fs"', 'f_hz = "fs"', "shown: no such name"),
        ('curve = "level"\nband_hz', 'curve = "loudness"\nband_hz', "no such name"),
        ("spread = 6.0", "spread = -6.0", "spread"),
        ("severity = [3.0, 70.0]", "severity = [70.0, 3.0]", "severity: falls"),
        ('shifts = {"force factor" = -1.0', "shifts = {fource = -1.0", "shifts: no such name"),
        ("repeats = 0.95", "repeats = 1.95", "repeats"),
        ("below = 0.0\n", "below = 0.0\nabove = 1.0\n", "not one limit"),
        ("band_hz = [3000.0, 14000.0]", "band_hz = [14000.0, 3000.0]", "does not rise"),
        ('only_with = "repeats"', 'only_with = "repeat"', "no such name"),
        ("weight = 0.3", "wait = 0.3", "wait"),
    ],
)
def test_a_mistake_is_one_line_with_file_line_and_key(
    old: str, new: str, words: str, tmp_path: Path
) -> None:
    text = SHIPPED.read_text()
    assert old in text
    path = tmp_path / FILE
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(FileError) as refused:
        load_signatures(path)
    line = str(refused.value)
    assert words.replace('"', "") in line.replace('"', "")
    assert f"{FILE}:" in line
    assert "\n" not in line


def test_a_file_beside_the_store_counts_in_the_place_of_the_one_that_ships(tmp_path: Path) -> None:
    assert signatures_beside(tmp_path) == shipped_signatures()
    (tmp_path / FILE).write_text(SHIPPED.read_text().replace("air leak", "spider torn"))
    assert "spider torn" in signatures_beside(tmp_path).causes
    assert signatures_beside(None) == shipped_signatures()
