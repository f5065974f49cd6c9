"""Files beside the database, each under the digest of its content; none is ever deleted."""

from __future__ import annotations

import os
import re
from hashlib import sha256
from pathlib import Path
from tempfile import mkstemp

from sqlalchemy import make_url

from ribstitch.store.errors import DamagedFileError, FilesUnavailableError, MissingFileError

_LOOSE = "ribstitch-files"
"""Name of the folder where the database is no file."""
_DERIVED = ".thumbnail"
_PREFIX = 2
"""So many digits of its digest name the folder that a file lies in."""
_DIGEST = re.compile("[0-9a-f]{64}")


def folder_beside(database_url: str) -> Path:
    """Return the folder of a database: ``x/ribstitch-files`` goes with ``x/ribstitch.db``."""
    address = make_url(database_url)
    if address.get_backend_name() != "sqlite" or not address.database:
        return Path(_LOOSE)
    file = Path(address.database)
    return file.with_name(f"{file.stem}-files")


class FileStore:
    """
    A folder of files, such as ``ab/ab12…`` for content with the digest ``ab12…``.

    Parameters
    ----------
    folder
        Made when the first file is put into it.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def put(self, content: bytes) -> str:
        """
        Keep a file; return its SHA-256 digest [64 hexadecimal digits].

        The same content is kept once. It is whole on disk before it has its name.

        Raises
        ------
        FilesUnavailableError
            If it cannot be written.
        """
        digest = sha256(content).hexdigest()
        self._write(self._place(digest), content)
        return digest

    def read(self, digest: str) -> bytes:
        """
        Return the content with a digest.

        Raises
        ------
        MissingFileError
            If it is not here.
        DamagedFileError
            If what lies here has another digest.
        FilesUnavailableError
            If it cannot be read.
        """
        content = _content(self._place(digest))
        if content is None:
            raise MissingFileError(digest)
        if sha256(content).hexdigest() != digest:
            raise DamagedFileError(digest)
        return content

    def digests(self) -> list[str]:
        """
        Return the digests of all files, in order.

        Raises
        ------
        FilesUnavailableError
            If the folder cannot be read.
        """
        folders = [one for one in _names(self.folder) if len(one) == _PREFIX]
        found = (name for one in folders for name in _names(self.folder / one))
        return sorted(name for name in found if _DIGEST.fullmatch(name))

    def put_thumbnail(self, digest: str, content: bytes) -> None:
        """
        Keep a small picture of a file.

        Raises
        ------
        FilesUnavailableError
            If it cannot be written.
        """
        self._write(self._place(digest, _DERIVED), content)

    def thumbnail(self, digest: str) -> bytes | None:
        """
        Return the small picture of a file; None if it was not made yet.

        Raises
        ------
        FilesUnavailableError
            If it cannot be read.
        """
        return _content(self._place(digest, _DERIVED))

    def _place(self, digest: str, ending: str = "") -> Path:
        """Return where a file lies."""
        return self.folder / digest[:_PREFIX] / f"{digest}{ending}"

    def _write(self, place: Path, content: bytes) -> None:
        """Write a file under another name, make sure that it is on disk, and name it."""
        if _content(place) == content:
            return
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            handle, unfinished = mkstemp(dir=place.parent)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
                Path(unfinished).replace(place)
            finally:
                Path(unfinished).unlink(missing_ok=True)
            _sync(place.parent)
        except OSError as failed:
            raise FilesUnavailableError(str(failed)) from failed


def _names(folder: Path) -> list[str]:
    """Return what lies in a folder; nothing for one that was not made yet."""
    try:
        return [one.name for one in folder.iterdir()]
    except FileNotFoundError:
        return []
    except OSError as failed:
        raise FilesUnavailableError(str(failed)) from failed


def _content(place: Path) -> bytes | None:
    """Return what lies at a place; None for nothing."""
    try:
        return place.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as failed:
        raise FilesUnavailableError(str(failed)) from failed


def _sync(folder: Path) -> None:
    """Make sure that the names in a folder are on disk, where the system can open a folder."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
