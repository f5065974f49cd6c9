"""Errors of the store.

StoreError
├── UnknownProjectError   there is no such project
├── UnknownThingError     the project has no such thing
├── StaleEditError        the thing was changed since it was read
├── UnavailableError      the database does not answer
├── FilesUnavailableError the folder of files cannot be read or written
├── MissingFileError      a file is not where it should be
├── DamagedFileError      a file is no longer what was put there
├── KeyUsedError          another request has the same key
├── RequestDoneError      the request was done already
└── NewerDatabaseError    a later release of Ribstitch has written the database
"""

from __future__ import annotations

from collections.abc import Sequence

from ribstitch.store.change_record import ChangeRecord


class StoreError(Exception):
    """What the store refuses; `str()` is one sentence for a person."""


class UnknownProjectError(StoreError):
    """There is no such project."""

    def __init__(self, project_id: int) -> None:
        self.project_id = project_id
        super().__init__(f"There is no project {project_id}.")


class UnknownThingError(StoreError):
    """The project has no such thing."""

    def __init__(self, kind: str, key: str) -> None:
        self.kind = kind
        self.key = key
        super().__init__(f'There is no {kind.replace("_", "-")} "{key}" in this project.')


class StaleEditError(StoreError):
    """The thing was changed since it was read, so the edit would overwrite that."""

    def __init__(
        self,
        kind: str,
        key: str,
        expected: int,
        current_version: int,
        changes_since: Sequence[ChangeRecord],
    ) -> None:
        self.kind = kind
        self.key = key
        self.expected = expected
        self.current_version = current_version
        self.changes_since = tuple(changes_since)
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        """Say who changed what in the meantime."""
        name = f"{self.kind.replace('_', '-')} {self.key}".strip()
        if not self.changes_since:
            return (
                f"You edit version {self.expected} of {name}, which is at {self.current_version}."
            )
        last = self.changes_since[-1]
        fields = ", ".join(last.changed_fields())
        what = f" ({fields})" if fields else ""
        return f"{last.who} changed {name}{what} at {last.at:%Y-%m-%d %H:%M} UTC: look at it again."


class UnavailableError(StoreError):
    """The database does not answer: it is down, or others keep it busy for too long."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__("The database does not answer; nothing was stored.")


class FilesUnavailableError(StoreError):
    """The folder of files cannot be read or written: no room, no right, no disk."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__("The folder of photos and documents cannot be used; nothing was stored.")


class MissingFileError(StoreError):
    """A file is not where it should be: it was not moved along with the database."""

    def __init__(self, digest: str) -> None:
        self.digest = digest
        super().__init__(
            f"The file {digest[:12]}… is not here: a plan file brings no photos and documents, "
            "they are copied from the folder of the other installation."
        )


class DamagedFileError(StoreError):
    """A file is no longer what was put there."""

    def __init__(self, digest: str) -> None:
        self.digest = digest
        super().__init__(
            f"The file {digest[:12]}… was changed since it was added: put it back from a backup."
        )


class NewerDatabaseError(StoreError):
    """A later release of Ribstitch has written the database."""

    def __init__(self, revision: str) -> None:
        self.revision = revision
        super().__init__(
            f"The database was written by a later release of Ribstitch (its tables are at "
            f"{revision}): install that one."
        )


class KeyUsedError(StoreError):
    """Another request was sent with the same key."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(
            f'Idempotency-Key: "{key}" was sent with another request: give each its own.'
        )


class RequestDoneError(StoreError):
    """The request was done already, by somebody who sent it at the same time."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(f'The request "{key}" was done already.')
