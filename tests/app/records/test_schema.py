"""Which files are opened as a store, which are refused, and that migrations make the tables."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata  # noqa: TID253  a witness
from alembic.config import Config  # noqa: TID253
from alembic.migration import MigrationContext  # noqa: TID253
from alembic.script import ScriptDirectory  # noqa: TID253
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex, CreateTable

from app.errors import BadInputError
from app.records.counts import VerdictCounts
from app.records.engine import open_engine, reading
from app.records.location import locate
from app.records.schema_revision import HEAD, MIGRATIONS, REVISIONS, VERSION_TABLE
from app.records.store import Store
from app.records.tables import metadata
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import make_capture, make_take

# What each step of the schema is undone by; step 0004 changed no table.
UNDONE = {
    "0002": (
        "DROP TABLE unit_words",
        "DROP TABLE lot_words",
        "DROP INDEX ix_takes_newest",
        "DROP INDEX ix_takes_tally",
        "DROP INDEX ix_takes_derived_from",
        "ALTER TABLE takes DROP COLUMN unit_words",
        "CREATE INDEX ix_takes_started_utc ON takes (started_utc)",
    ),
    "0003": (
        "DROP TABLE take_calibrations",
        "DROP TABLE calibration_captures",
        "DROP TABLE calibrations",
    ),
    "0005": ("ALTER TABLE numbers DROP COLUMN is_bound",),
    "0006": (
        "DROP TABLE limit_steps",
        "DROP TABLE limit_revisions",
        "DROP TRIGGER audit_no_update",
        "DROP TRIGGER audit_no_delete",
        "ALTER TABLE snapshots DROP COLUMN limit_set",
        "ALTER TABLE snapshots DROP COLUMN limit_revision",
    ),
    "0007": ("DROP TABLE take_rests_on",),
    "0008": ("DROP TABLE captures_folder",),
}


def take_back(database: Path, *, to: str) -> None:
    """Leave a store as the version of that schema made it."""
    for revision in sorted(UNDONE, reverse=True):
        for statement in UNDONE[revision] if revision > to else ():
            change(database, statement)
    change(database, f"UPDATE {VERSION_TABLE} SET version_num = '{to}'")


def change(database: Path, statement: str) -> None:
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute(statement)


def everything(folder: Path) -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_the_migrations_make_the_tables_that_the_code_uses(tmp_path: Path) -> None:
    Store.open(tmp_path / "a.sqlite").close()
    engine = open_engine(locate(tmp_path / "a.sqlite").url)
    with reading(engine) as connection:
        context = MigrationContext.configure(
            connection, opts={"version_table": VERSION_TABLE, "compare_type": True}
        )
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def test_the_revisions_known_without_alembic_are_those_of_alembic() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    steps = list(ScriptDirectory.from_config(config).walk_revisions())
    assert tuple(step.revision for step in reversed(steps)) == REVISIONS
    assert ScriptDirectory.from_config(config).get_current_head() == HEAD


def test_the_tables_can_be_made_in_postgresql() -> None:
    for table in metadata.sorted_tables:
        assert str(CreateTable(table).compile(dialect=postgresql.dialect()))  # type: ignore[no-untyped-call]  # so is SQLAlchemy's constructor
        for index in table.indexes:
            assert str(CreateIndex(index).compile(dialect=postgresql.dialect()))  # type: ignore[no-untyped-call]  # as above


def test_an_up_to_date_store_is_opened_without_alembic(tmp_path: Path) -> None:
    Store.open(tmp_path / "a.sqlite").close()
    code = (
        "import sys; from app.records.store import Store\n"
        f"Store.open({str(tmp_path / 'a.sqlite')!r}).close()\n"
        "print('alembic' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_store_of_a_newer_version_is_refused_and_not_touched(tmp_path: Path) -> None:
    where = tmp_path / "records.sqlite"
    Store.open(where).close()
    change(where, f"UPDATE {VERSION_TABLE} SET version_num = '9999'")
    before = everything(tmp_path)
    with pytest.raises(BadInputError) as refused:
        Store.open(where)
    line = f"{where}: written by a newer Dustcap: given schema 9999, allowed schema 0001 to {HEAD}"
    assert str(refused.value) == line
    assert everything(tmp_path) == before


def test_the_log_of_a_killed_process_does_not_hide_a_newer_version(tmp_path: Path) -> None:
    where = tmp_path / "records.sqlite"
    Store.open(where).close()
    with closing(sqlite3.connect(where)) as connection:  # open, so that its log stays a log
        connection.execute(f"UPDATE {VERSION_TABLE} SET version_num = '9999'")
        connection.commit()
        log = where.with_name("records.sqlite-wal")
        assert log.stat().st_size > 0
        with pytest.raises(BadInputError, match="written by a newer Dustcap"):
            Store.open(where)


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b"RIFF....WAVE", "not a store of Dustcap's"),
        (b"SQLite format 3\0" + b"\xff" * 200, "the file is damaged"),
    ],
)
def test_a_file_that_is_no_store_is_refused_and_not_touched(
    tmp_path: Path, content: bytes, line: str
) -> None:
    where = tmp_path / "records.sqlite"
    where.write_bytes(content)
    with pytest.raises(BadInputError, match=line) as refused:
        Store.open(where)
    assert str(where) in str(refused.value)
    assert "\n" not in str(refused.value)
    assert everything(tmp_path) == {str(where): content}


def test_the_database_of_another_program_is_refused_and_not_touched(tmp_path: Path) -> None:
    where = tmp_path / "other.sqlite"
    change(where, "CREATE TABLE takes (id INTEGER)")
    before = everything(tmp_path)
    with pytest.raises(BadInputError, match="a database, but not a store of Dustcap's"):
        Store.open(where)
    assert everything(tmp_path) == before


def test_a_place_where_nothing_can_be_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    for where, line in (
        (tmp_path, "a folder, not a store: allowed a file"),
        (tmp_path / "file" / "records.sqlite", "not a directory"),
        ("mysql://host/records", "store: cannot be opened: given mysql://, allowed a file"),
        ("sqlite:///", "store: no file named"),
        ("", "store: no file named"),
    ):
        with pytest.raises(BadInputError, match=line) as refused:
            Store.open(where)
        assert "\n" not in str(refused.value)
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_making_that_was_cut_off_is_taken_up_again(tmp_path: Path) -> None:
    empty, bare = tmp_path / "empty.sqlite", tmp_path / "bare.sqlite"
    empty.touch()  # killed before the first page
    change(bare, "PRAGMA journal_mode = WAL")  # killed before the first commit
    capture = make_capture()
    for where in (empty, bare):
        with Store.open(where) as store:
            store.keep(make_take(capture), capture=capture)
            assert len(store.find()) == 1


def test_a_store_of_the_first_schema_is_brought_up_to_date_and_found_by_text(
    tmp_path: Path,
) -> None:
    where, capture = tmp_path / "records.sqlite", make_capture()
    with Store.open(where) as store:
        store.keep(make_take(capture), capture=capture)
    take_back(where, to="0001")
    with Store.open(where) as store:
        (found,) = store.find(text="w31 0417")
        assert (found.unit, found.lot, found.number) == ("T4-W31-0417", "T4-W31", 1)
        assert store.find(text="0418") == ()
        store.keep(make_take(capture, seed=2, unit="T4-W31-0418"), capture=capture)
        assert [s.unit for s in store.find(text="0418")] == ["T4-W31-0418"]


def test_older_takes_without_a_mask_are_told_apart_as_not_judged(tmp_path: Path) -> None:
    where, capture = tmp_path / "records.sqlite", make_capture()
    with Store.open(where) as store:
        for seed in (1, 2):
            store.keep(make_take(capture, seed=seed, unit=f"T4-{seed}"), capture=capture)
    change(where, "DELETE FROM masks WHERE take = 1")
    take_back(where, to="0003")
    with Store.open(where) as store:
        (bare,) = store.find(verdict=Verdict.NOT_JUDGED)
        assert (bare.unit, store.take(bare.id).verdict) == ("T4-1", Verdict.NOT_JUDGED)
        assert [one.unit for one in store.find(verdict=Verdict.NOT_DECIDED)] == ["T4-2"]
        assert store.verdict_counts() == VerdictCounts(not_decided=1, not_judged=1)


@pytest.mark.parametrize("where", ["50% of all/records.sqlite", "a b/ü?#.sqlite"])
def test_any_name_serves_and_folders_are_made(tmp_path: Path, where: str) -> None:
    capture = make_capture()
    for address in (tmp_path / where, f"sqlite:///{tmp_path / where}"):
        with Store.open(address) as store:
            store.keep(make_take(capture, seed=len(store.find()) + 1), capture=capture)
    with Store.open(tmp_path / where) as store:
        assert len(store.find()) == 2


def test_without_a_name_the_store_lies_in_the_user_s_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("platformdirs.user_data_path", lambda name, **_: tmp_path / name)
    with Store.open() as store:
        assert store.name == str(tmp_path / "dustcap" / "records.sqlite")
        assert Path(store.name).is_file()
