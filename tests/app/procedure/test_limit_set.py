"""A limit-set file: masks alone are enough, all of it comes back, newer forms are refused."""

from datetime import date
from pathlib import Path

import pytest

from app.procedure.limit_set import LimitSet, load_limit_set, save_limit_set
from app.procedure.load import load_procedure
from app.procedure.shipped import shipped
from hardware.errors import FileError

MASKS = '[masks.THD]\nquantity = "thd"\nupper = 1.0\n'


def loaded(tmp_path: Path, text: str) -> LimitSet:
    file = tmp_path / "limits.toml"
    file.write_text(text)
    return load_limit_set(file)


def test_masks_alone_are_enough(tmp_path: Path) -> None:
    found = loaded(tmp_path, MASKS)
    assert (found.format, found.name, found.revision) == (1, "", None)
    assert found.masks["THD"].upper == 1.0


def test_what_is_saved_comes_back_whole_and_reads_well(tmp_path: Path) -> None:
    masks = load_procedure(shipped()["line-check"]).procedure.masks
    kept = LimitSet(
        name='T4 "line"',
        revision=7,
        procedure="line-check",
        by="M. K.",
        why="tighter\nabove 700 Hz",
        date=date(2026, 7, 29),
        masks={**masks, "a b.c": masks["level"].model_copy(update={"guard": 0.1 + 0.2})},
    )
    save_limit_set(kept, tmp_path / "limits.toml")
    assert load_limit_set(tmp_path / "limits.toml") == kept
    lines = (tmp_path / "limits.toml").read_text().splitlines()
    assert lines[:3] == ["format = 1", 'name = "T4 \\"line\\""', "revision = 7"]
    assert max(map(len, lines)) <= 100
    save_limit_set(LimitSet(masks=masks), tmp_path / "limits.toml")
    assert (tmp_path / "limits.toml").read_text().startswith("format = 1\n\n[masks.level]\n")


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            f"format = 2\ncolour = 3\n{MASKS}",
            "1 format: written by a newer Dustcap: given 2, allowed up to 1",
        ),
        (f"format = 0\n{MASKS}", "1 format: too small: given 0"),
        ('name = "T4"\n', "1 masks: missing"),
        ("[masks]\n", "1 masks: too few elements"),
        ('[masks.a]\nquantity = "thd"\n', "1 masks.a: no limit: allowed upper, lower, or both"),
        (f"revision = 1.5\n{MASKS}", "1 revision: not a whole number"),
        (f"limits = 1\n{MASKS}", "1 limits: unknown key"),
    ],
)
def test_what_it_cannot_be_is_told_in_one_line(tmp_path: Path, text: str, line: str) -> None:
    with pytest.raises(FileError) as refused:
        loaded(tmp_path, text)
    assert str(refused.value).startswith(f"{tmp_path}/limits.toml:{line}")
    assert "\n" not in str(refused.value)
