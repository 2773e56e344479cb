"""Alembic's entry: runs the steps on the connection that `upgrading` hands in."""

from __future__ import annotations

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=None,
    transaction_per_migration=False,
)
# The caller's own transaction surrounds all steps, so they are done wholly or not at all.
context.run_migrations()
