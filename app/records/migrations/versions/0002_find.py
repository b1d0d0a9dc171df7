"""Finding by text: words of units and lots, and indexes that hold what lists are counted by."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

from app.records.column_types import Word
from app.records.words import plain, words_of

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the words of what is there, then the indexes."""
    _words("lot_words", "lot_id", of="lots")
    _words("unit_words", "unit_id", of="units")
    op.create_index("ix_unit_words_unit_id_word", "unit_words", ["unit_id", "word"])
    _fill("lot_words", "lot_id", names="SELECT id, name FROM lots")
    _fill("unit_words", "unit_id", names="SELECT id, serial FROM units")
    op.add_column("takes", sa.Column("unit_words", sa.Text()))
    _fill_takes()
    op.drop_index("ix_takes_started_utc", "takes")
    op.create_index("ix_takes_derived_from", "takes", ["derived_from"])
    op.create_index(
        "ix_takes_newest",
        "takes",
        ["started_utc", "row", "lot_id", "procedure_id", "verdict", "unit_words"],
    )
    op.create_index(
        "ix_takes_tally",
        "takes",
        ["lot_id", "verdict", "started_utc", "procedure_id", "unit_words"],
    )


def _words(table: str, key: str, *, of: str) -> None:
    op.create_table(
        table,
        sa.Column("word", Word, nullable=False),
        sa.Column(key, sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint([key], [f"{of}.id"], name=f"fk_{table}_{key}"),
        sa.PrimaryKeyConstraint("word", key, name=f"pk_{table}"),
        sqlite_with_rowid=False,
    )


def _fill(table: str, key: str, *, names: str) -> None:
    target = sa.table(table, sa.column("word"), sa.column(key))
    known = op.get_bind().execute(sa.text(names)).all()
    rows = [{"word": word, key: row_id} for row_id, name in known for word in words_of(name)]
    if rows:
        op.bulk_insert(target, rows)


def _fill_takes() -> None:
    known = op.get_bind().execute(sa.text("SELECT id, serial FROM units")).all()
    if known:
        op.get_bind().execute(
            sa.text("UPDATE takes SET unit_words = :words WHERE unit_id = :unit"),
            [{"words": plain(serial), "unit": unit} for unit, serial in known],
        )
