"""Saving masks: what a person wrote stays, and what is written reads back as it was edited."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.errors import BadInputError
from app.procedure.load import load_procedure
from app.procedure.mask_schema import Mask
from app.procedure.procedure_limits import with_own_masks, with_revision
from app.procedure.save import save_masks, with_masks
from app.procedure.schema import Procedure
from app.procedure.shipped import shipped
from hardware.errors import FileError
from hardware.toml_file import read_model_text

TEXT = """# the line's own
name = "p"   # short

[excitation]
kind = "log_sweep"
level_v_rms = 2.83

[masks.level]   # about the drawing
quantity = "level"
upper = [   # typed on a Monday
    [40.0, 78.0], [50.0, 81.7],   # the cone's dip
    [60.0, 84.4],
]

[masks.sensitivity]
quantity = "sensitivity_db"
upper = 87.1   # agreed
lower = 84.7
"""


def read(text: str) -> Procedure:
    return read_model_text(text, name="test", model=Procedure)


def edited(text: str, **masks: Mask | None) -> str:
    procedure = read(text)
    kept = {**procedure.masks, **masks}
    changed = {name: mask for name, mask in kept.items() if mask is not None}
    return with_masks(
        text, procedure=procedure.model_copy(update={"masks": changed}), name="test.toml"
    )


def test_a_moved_point_changes_its_two_figures_and_nothing_else() -> None:
    level = (
        read(TEXT)
        .masks["level"]
        .model_copy(update={"upper": ((40.0, 78.0), (50.0, 80.2), (60.0, 84.4))})
    )
    assert edited(TEXT, level=level) == TEXT.replace("81.7", "80.2")


def test_points_come_and_go_and_comments_stay() -> None:
    level = (
        read(TEXT)
        .masks["level"]
        .model_copy(update={"upper": ((45.0, 79.0), (50.0, 81.7), (60.0, 84.4), (80.0, 87.6))})
    )
    text = edited(TEXT, level=level)
    assert read(text).masks["level"] == level
    for comment in ("# the line's own", "# typed on a Monday", "# the cone's dip", "# short"):
        assert comment in text


def test_a_single_limit_keeps_the_comment_behind_it() -> None:
    mask = read(TEXT).masks["sensitivity"].model_copy(update={"upper": 88.0, "lower": None})
    text = edited(TEXT, sensitivity=mask)
    assert "upper = 88.0   # agreed" in text
    assert "lower" not in text.split("[masks.sensitivity]")[1]


def test_a_mask_can_be_new_or_gone() -> None:
    polarity = Mask(quantity="polarity", lower=0.0)
    text = edited(TEXT, polarity=polarity, level=None)
    assert list(read(text).masks) == ["sensitivity", "polarity"]


def test_a_file_without_masks_gets_them() -> None:
    text = TEXT[: TEXT.index("[masks.level]")]
    polarity = Mask(quantity="polarity", lower=0.0, guard=0.5)
    assert read(edited(text, polarity=polarity)).masks == {"polarity": polarity}


@given(
    st.dictionaries(
        st.floats(20, 20_000).map(lambda f: round(f, 3)),
        st.floats(-1e6, 1e6, allow_subnormal=False),
        min_size=1,
        max_size=40,
    ),
    st.sampled_from([None, -1e7]),
)
@settings(deadline=None, max_examples=40)
def test_what_is_written_reads_back(points: dict[float, float], lower: float | None) -> None:
    mask = Mask(quantity="level", upper=tuple(sorted(points.items())), lower=lower)
    text = shipped()["line-check"].read_text(encoding="utf-8")
    written = edited(text, level=mask)
    assert read(written).masks["level"] == mask
    # Held against Python's own reader, too.
    upper = tomllib.loads(written)["masks"]["level"]["upper"]
    assert upper == [list(point) for point in sorted(points.items())]


def test_a_file_that_somebody_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "p.toml"
    file.write_text(TEXT, encoding="utf-8")
    procedure = read(TEXT)
    file.write_text(TEXT.replace("2.83", "1.0"), encoding="utf-8")
    with pytest.raises(BadInputError, match="changed since it was opened"):
        save_masks(file, procedure)
    assert "1.0" in file.read_text(encoding="utf-8")


def test_what_cannot_be_changed_in_place_is_refused_and_not_spoilt() -> None:
    text = TEXT[: TEXT.index("[masks.level]")]
    text = 'masks = {a = {quantity = "polarity", lower = 0.0}}\n' + text
    procedure = read(text)
    changed = {**procedure.masks, "b": Mask(quantity="level", upper=((40.0, 1.0), (50.0, 2.0)))}
    with pytest.raises(BadInputError, match="masks cannot be changed in place"):
        with_masks(text, procedure=procedure.model_copy(update={"masks": changed}), name="test")


def test_saving_writes_the_file_whole(tmp_path: Path) -> None:
    file = tmp_path / "p.toml"
    file.write_text(TEXT, encoding="utf-8")
    loaded = load_procedure(file)
    mask = Mask(quantity="sensitivity_db", upper=90.0)
    masks = {**loaded.procedure.masks, "sensitivity": mask}
    save_masks(file, loaded.procedure.model_copy(update={"masks": masks}))
    assert load_procedure(file).procedure.masks == masks
    assert [one.name for one in tmp_path.iterdir()] == ["p.toml"]


def test_a_folder_that_takes_nothing_is_told_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "p.toml"
    file.write_text(TEXT, encoding="utf-8")

    def full(self: Path, target: Path) -> None:  # noqa: ARG001
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(FileError, match="cannot be written: no space left on device"):
        save_masks(file, load_procedure(file).procedure)
    assert file.read_text(encoding="utf-8") == TEXT
    assert [one.name for one in tmp_path.iterdir()] == ["p.toml"]


def test_the_revision_that_masks_come_from_is_named_renamed_and_taken_out_in_place() -> None:
    procedure = read(TEXT)
    named = with_revision(procedure, procedure.masks, limit_set="T4 line", revision=7)
    text = with_masks(TEXT, procedure=named, name="test")
    assert text == f'{TEXT}\n[limits]\nset = "T4 line"\nrevision = 7\n'
    noted = text.replace("revision = 7", "revision = 7   # since March")
    later = with_revision(procedure, procedure.masks, limit_set="T4 line", revision=8)
    changed = with_masks(noted, procedure=later, name="test")
    assert changed == noted.replace("revision = 7", "revision = 8")
    own = with_own_masks(later, {"level": procedure.masks["level"]})
    assert read(with_masks(changed, procedure=own, name="test")).limits is None
    assert with_own_masks(later, dict(procedure.masks)).limits == later.limits
