"""Which revision holds, and how one comes to: in store and file, or in neither."""

from pathlib import Path

import pytest

from app.errors import BadInputError
from app.measure.in_force import approve, in_force, limit_set_of, revision_among, run_revision
from app.procedure.edit_masks import offset
from app.procedure.load import load_procedure
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import LimitsNamed
from app.procedure.shipped import find_procedure, shipped
from app.records.limit_revisions import LimitRevision
from app.records.store import Store


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


def drafted(store: Store, loaded: LoadedProcedure, *, why: str = "the dip") -> LimitRevision:
    procedure = loaded.procedure
    return store.add_limit_revision(limit_set_of(procedure), procedure.masks, by="QC lead", why=why)


def test_without_an_approval_a_procedure_s_own_masks_hold(tmp_path: Path, file: Path) -> None:
    loaded = load_procedure(file)
    with Store.open(tmp_path / "r.sqlite") as store:
        drafted(store, widened(loaded, 0.5))
        found = in_force(store, loaded.procedure)
    assert (found.limit_set, found.approved) == ("line check", None)
    assert dict(found.masks) == loaded.procedure.masks
    assert found.next_number == 2


def test_what_is_approved_stands_in_the_procedure_s_file(tmp_path: Path, file: Path) -> None:
    loaded = load_procedure(file)
    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 0.5))
        runs = approve(store, loaded, one, by=" QA ", why="held against the lot", seen=None)
        found = in_force(store, loaded.procedure)
    assert runs.file == file
    assert found.approved is not None
    assert found.approved.number == runs.revision.number
    assert (runs.revision.state, runs.revision.approved_by) == ("approved", "QA")
    written = load_procedure(file).procedure
    assert written == runs.loaded.procedure
    assert written.limits == LimitsNamed(set="line check", revision=1)
    assert written.masks == dict(one.masks) == dict(found.masks)


def test_a_revision_is_known_by_its_masks(tmp_path: Path) -> None:
    first = find_procedure("line-check")
    with Store.open(tmp_path / "r.sqlite") as store:
        drafted(store, first)
        drafted(store, widened(first, 0.5))
        drafted(store, first, why="back again")
        revisions = in_force(store, first.procedure).revisions
    found = revision_among(revisions, first.procedure)
    assert found is not None
    assert found.number == 3  # the newest that has them
    named = first.procedure.model_copy(update={"limits": LimitsNamed(set="line check", revision=1)})
    found = revision_among(revisions, named)
    assert found is not None
    assert found.number == 1  # the one that it says it runs
    assert revision_among(revisions, widened(first, 1.0).procedure) is None


def test_another_procedure_file_can_run_what_is_approved(tmp_path: Path, file: Path) -> None:
    loaded = find_procedure("line-check")
    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 0.5))
        with pytest.raises(BadInputError, match="given a draft revision"):
            run_revision(loaded, one)
        approved = approve(store, loaded, one, by="QA", why="seen", seen=None).revision
    runs = run_revision(load_procedure(file), approved)
    assert load_procedure(file).procedure == runs.loaded.procedure
    assert runs.loaded.procedure.masks == dict(one.masks)


def test_what_ships_stays_as_it_is(tmp_path: Path) -> None:
    before = shipped()["line-check"].read_bytes()
    loaded = find_procedure("line-check")
    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 1.0))
        runs = approve(store, loaded, one, by="QA", why="seen", seen=None)
    assert runs.file is None
    assert shipped()["line-check"].read_bytes() == before


@pytest.mark.parametrize(("by", "why", "key"), [("", "seen", "by"), ("QC", "  ", "why")])
def test_nobody_and_no_reason_approve_nothing(
    tmp_path: Path, file: Path, by: str, why: str, key: str
) -> None:
    before, loaded = file.read_bytes(), load_procedure(file)
    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 1.0))
        with pytest.raises(BadInputError, match=key):
            approve(store, loaded, one, by=by, why=why, seen=None)
        assert in_force(store, loaded.procedure).approved is None
    assert file.read_bytes() == before


def test_what_was_approved_meanwhile_is_told_and_the_file_stays(tmp_path: Path, file: Path) -> None:
    before, loaded = file.read_bytes(), load_procedure(file)
    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 0.5))
        two = drafted(store, widened(loaded, 1.0))
        store.approve_limits("line check", one.number, by="QA", why="seen", seen=None)
        with pytest.raises(BadInputError, match=r"revision 1 .*QA"):
            approve(store, loaded, two, by="QC lead", why="wider", seen=None)
        assert in_force(store, loaded.procedure).masks == one.masks
    assert file.read_bytes() == before


def test_a_file_that_says_other_things_by_now_approves_nothing(tmp_path: Path, file: Path) -> None:
    loaded = load_procedure(file)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("level_v_rms = 2.83", "level_v_rms = 2.0"), encoding="utf-8")
    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 1.0))
        with pytest.raises(BadInputError, match="changed since it was opened"):
            approve(store, loaded, one, by="QA", why="seen", seen=None)
        assert store.limit_revision("line check", 1).state == "draft"


def test_an_approval_stands_where_the_disk_takes_no_file_and_that_is_told(
    tmp_path: Path, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, loaded = file.read_bytes(), load_procedure(file)

    def refused(self: Path, target: Path) -> None:  # noqa: ARG001
        raise PermissionError(13, "Permission denied")

    with Store.open(tmp_path / "r.sqlite") as store:
        one = drafted(store, widened(loaded, 1.0))
        with monkeypatch.context() as patch:
            patch.setattr(Path, "replace", refused)
            runs = approve(store, loaded, one, by="QA", why="seen", seen=None)
        assert store.limit_revision("line check", 1).state == "approved"
        assert "cannot be written" in runs.unwritten
        assert (runs.file, file.read_bytes()) == (None, before)
        assert run_revision(loaded, runs.revision).file == file  # tried again
