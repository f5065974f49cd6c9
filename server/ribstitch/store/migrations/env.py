"""How Alembic reaches the database: on the connection that it is given."""

from __future__ import annotations

from alembic import context

from ribstitch.store.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    transactional_ddl=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
