"""What Alembic runs: the migrations on the connection that was handed over."""

from __future__ import annotations

from alembic import context

from larkslate.school.schema import metadata

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=metadata, transactional_ddl=True)
context.run_migrations()  # the caller's transaction holds it all
