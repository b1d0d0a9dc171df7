"""What Alembic runs: the steps, on the connection and in the transaction that it was given."""

from alembic import context  # noqa: TID253  Alembic alone imports this file

from app.records.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=context.config.attributes["version_table"],
)
with context.begin_transaction():
    context.run_migrations()
