"""Runs the steps on the connection that `migrating` gives."""

from alembic import context

from chaincase.register.schema import metadata

if hasattr(context, "config"):  # not where somebody only imports this
    context.configure(
        connection=context.config.attributes["connection"],
        target_metadata=metadata,
        render_as_batch=True,
        transactional_ddl=True,
    )
    context.run_migrations()
