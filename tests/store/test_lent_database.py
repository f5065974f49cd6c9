"""The database that tests have one after the other is as new for each of them."""

from __future__ import annotations

from sqlalchemy import select

from ribstitch.services.import_plan import import_plan
from ribstitch.store import Store, make_engine
from ribstitch.store.tables import Base
from tests.store.plans import AT, LEAD, short_plan
from tests.support.postgres import copied_database, empty


def rows(url: str) -> dict[str, list[tuple[object, ...]]]:
    """Return all rows of all tables that have any, in the order in which they lie."""
    engine = make_engine(url)
    with engine.connect() as connection:
        tables = Base.metadata.tables.items()
        found = {name: connection.execute(select(table)).all() for name, table in tables}
    engine.dispose()
    return {name: [tuple(one) for one in some] for name, some in found.items() if some}


def fill(url: str) -> Store:
    """Take a plan in; return the store, still connected."""
    store = Store(make_engine(url))
    import_plan(store, short_plan(), LEAD, AT)
    return store


def test_a_database_that_is_emptied_is_filled_as_if_it_were_new(migrated_database: str) -> None:
    with copied_database(migrated_database) as url:
        connected = fill(url)
        filled = rows(url)
        empty(url)
        connected.close()
        assert rows(url) == {}
        fill(url).close()
        assert rows(url) == filled != {}
