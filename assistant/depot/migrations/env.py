"""Run by alembic: applies the migrations on the connection that it was given."""

from __future__ import annotations

from alembic import context

from assistant.depot.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=False,
)
context.run_migrations()
