"""
Steps from each release's tables to the next.

To draft a step, change the tables in `ribstitch.store.tables`, then compare them with a
database of the release before::

    engine = make_engine("sqlite:///scratch.db")
    upgrade(engine)
    with engine.connect() as connection:
        alembic.command.revision(
            config_for(connection), "what changes", autogenerate=True, rev_id="0002"
        )

and edit what was written: names of constraints, data that must move. On SQLite a table that
is rebuilt loses its triggers; make those of the two logs again.
"""
