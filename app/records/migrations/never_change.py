"""Triggers that refuse to change or remove rows, for either database."""

from alembic import op  # noqa: TID253  only migrations import this file


def never_change(table: str, *, what: str) -> None:
    """Let rows of a table only ever be added; ``what`` is said to whoever tries otherwise."""
    if op.get_bind().dialect.name == "sqlite":
        for doing in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{doing.lower()} BEFORE {doing} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{what}'); END"
            )
        return
    op.execute(
        "CREATE OR REPLACE FUNCTION dustcap_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'check_violation'; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION dustcap_refuse('{what}')"
    )
