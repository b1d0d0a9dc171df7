"""Which revision holds, and how a draft becomes one: in file and store, or in neither."""

from pathlib import Path

import pytest

from app.errors import BadInputError
from app.measure.in_force import in_force, keep_revision
from app.procedure.edit_masks import offset
from app.procedure.load import load_procedure
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import find_procedure, shipped
from app.records.store import Store
from hardware.errors import FileError
from tests.app.measure.trial_store import PROCEDURE, twenty_units


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "line.toml"
    path.write_text(shipped()["line-check"].read_text(encoding="utf-8"), encoding="utf-8")
    return path


def widened(loaded: LoadedProcedure, by: float) -> LoadedProcedure:
    level = offset(loaded.procedure.masks["level"], upper_by=by, lower_by=-by)
    masks = {**loaded.procedure.masks, "level": level}
    return LoadedProcedure(
        procedure=loaded.procedure.model_copy(update={"masks": masks}), file=loaded.file
    )


def test_a_saved_draft_holds_and_stands_in_its_file(tmp_path: Path, file: Path) -> None:
    draft = widened(load_procedure(file), 0.5)
    with Store.open(tmp_path / "r.sqlite") as store:
        assert in_force(store, draft.procedure).base is None
        kept = keep_revision(store, draft, by=" QC lead ", why="the cone's dip wanders")
        assert (kept.revision.number, kept.revision.by, kept.file) == (1, "QC lead", file)
        assert load_procedure(file).procedure == draft.procedure
        found = in_force(store, find_procedure("line-check").procedure)
        assert found.base == kept.revision
        assert found.procedure == draft.procedure


def test_the_revision_signed_last_holds_even_if_it_is_an_older_form(tmp_path: Path) -> None:
    first = find_procedure("line-check")
    with Store.open(tmp_path / "r.sqlite") as store:
        keep_revision(store, first, by="QC", why="first")
        keep_revision(store, widened(first, 0.5), by="QC", why="wider")
        keep_revision(store, first, by="QC", why="back again")
        found = in_force(store, first.procedure)
        assert found.base is not None
        assert found.base.number == 1
        assert len(found.revisions) == 2


def test_without_a_signature_the_form_that_takes_were_made_with_holds(tmp_path: Path) -> None:
    with twenty_units(tmp_path) as store:
        found = in_force(store, PROCEDURE)
        assert found.base is not None
        assert (found.base.number, found.base.by, found.base.takes) == (1, "", 20)


def test_what_ships_stays_as_it_is(tmp_path: Path) -> None:
    before = shipped()["line-check"].read_bytes()
    with Store.open(tmp_path / "r.sqlite") as store:
        draft = widened(find_procedure("line-check"), 1.0)
        kept = keep_revision(store, draft, by="QC", why="wider")
    assert kept.file is None
    assert shipped()["line-check"].read_bytes() == before


@pytest.mark.parametrize(("by", "why", "key"), [("", "why", "by"), ("QC", "  ", "reason")])
def test_nobody_and_no_reason_save_nothing(
    tmp_path: Path, file: Path, by: str, why: str, key: str
) -> None:
    before = file.read_bytes()
    with Store.open(tmp_path / "r.sqlite") as store:
        with pytest.raises(BadInputError, match=f"{key}: missing"):
            keep_revision(store, widened(load_procedure(file), 1.0), by=by, why=why)
        assert store.revisions("line check") == ()
    assert file.read_bytes() == before


def test_a_file_that_takes_nothing_leaves_the_store_as_it_was(
    tmp_path: Path, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft = widened(load_procedure(file), 1.0)

    def refused(self: Path, target: Path) -> None:  # noqa: ARG001
        raise PermissionError(13, "Permission denied")

    with Store.open(tmp_path / "r.sqlite") as store:
        monkeypatch.setattr(Path, "replace", refused)
        with pytest.raises(FileError, match="cannot be written"):
            keep_revision(store, draft, by="QC", why="wider")
        assert store.revisions("line check") == ()
