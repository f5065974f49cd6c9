"""Plans in a database: tables, migrations, transactions, the change log."""

from ribstitch.store.accounts import Accounts
from ribstitch.store.change_record import (
    ALWAYS,
    ActionRecord,
    ChangedKind,
    ChangeRecord,
    Person,
    Span,
)
from ribstitch.store.engine import make_engine, with_password
from ribstitch.store.errors import (
    DamagedFileError,
    FilesUnavailableError,
    KeyUsedError,
    MissingFileError,
    NewerDatabaseError,
    RequestDoneError,
    StaleEditError,
    StoreError,
    UnavailableError,
    UnknownProjectError,
    UnknownThingError,
)
from ribstitch.store.files import FileStore, folder_beside
from ribstitch.store.migrate import newest_revision, upgrade
from ribstitch.store.reading import (
    LoggedForecast,
    LoggedSpread,
    Reading,
    StoredPlan,
    StoredProject,
    Versions,
)
from ribstitch.store.requests_done import Answer, NamedRequest, doing
from ribstitch.store.store import Store
from ribstitch.store.tables import LAST_PROJECT
from ribstitch.store.unit_of_work import Edit, UnitOfWork, Written

__all__ = [
    "ALWAYS",
    "LAST_PROJECT",
    "Accounts",
    "ActionRecord",
    "Answer",
    "ChangeRecord",
    "ChangedKind",
    "DamagedFileError",
    "Edit",
    "FileStore",
    "FilesUnavailableError",
    "KeyUsedError",
    "LoggedForecast",
    "LoggedSpread",
    "MissingFileError",
    "NamedRequest",
    "NewerDatabaseError",
    "Person",
    "Reading",
    "RequestDoneError",
    "Span",
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
    "doing",
    "folder_beside",
    "make_engine",
    "newest_revision",
    "upgrade",
    "with_password",
]
