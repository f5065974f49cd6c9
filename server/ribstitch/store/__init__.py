"""Plans in a database: tables, migrations, transactions, the change log."""

from ribstitch.store.change_record import ActionRecord, ChangedKind, ChangeRecord, Person
from ribstitch.store.engine import make_engine
from ribstitch.store.errors import (
    DamagedFileError,
    FilesUnavailableError,
    MissingFileError,
    NewerDatabaseError,
    StaleEditError,
    StoreError,
    UnavailableError,
    UnknownProjectError,
    UnknownThingError,
)
from ribstitch.store.files import FileStore, folder_beside
from ribstitch.store.migrate import upgrade
from ribstitch.store.reading import (
    LoggedForecast,
    LoggedSpread,
    Reading,
    StoredPlan,
    StoredProject,
    Versions,
)
from ribstitch.store.store import Store
from ribstitch.store.tables import LAST_PROJECT
from ribstitch.store.unit_of_work import Edit, UnitOfWork, Written

__all__ = [
    "LAST_PROJECT",
    "ActionRecord",
    "ChangeRecord",
    "ChangedKind",
    "DamagedFileError",
    "Edit",
    "FileStore",
    "FilesUnavailableError",
    "LoggedForecast",
    "LoggedSpread",
    "MissingFileError",
    "NewerDatabaseError",
    "Person",
    "Reading",
    "StaleEditError",
    "Store",
    "StoreError",
    "StoredPlan",
    "StoredProject",
    "UnavailableError",
    "UnitOfWork",
    "UnknownProjectError",
    "UnknownThingError",
    "Versions",
    "Written",
    "folder_beside",
    "make_engine",
    "upgrade",
]
