"""The file of a backup: a zip whose members are checked while they are read."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from pydantic import ValidationError

from ribstitch.store.backups.errors import BackupError
from ribstitch.store.backups.manifest import MANIFEST, Manifest, Member

PIECE = 1 << 20
"""How much is read or written at a time. [bytes]"""
LONGEST_LINE = 256 << 20
"""No row is longer: a plan file and what packs it. [bytes]"""
_LARGEST_MANIFEST = 64 << 20
_ZIP_ERRORS = (BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, KeyError,
               ValueError)  # fmt: skip
"""What a damaged or crafted zip makes the library raise."""


class NewArchive:
    """
    A zip that is being written.

    Parameters
    ----------
    target
        Where to; it stays open.
    """

    def __init__(self, target: IO[bytes]) -> None:
        self._zip = ZipFile(target, "w", allowZip64=True)
        self.members: dict[str, Member] = {}

    def add(self, name: str, pieces: Iterable[bytes], *, packed: bool) -> None:
        """Write one member; photos are packed already."""
        self.members[name] = self._write(name, pieces, packed=packed)

    def finish(self, manifest: Manifest) -> None:
        """Write the manifest and the zip's own list."""
        self._write(MANIFEST, [manifest.model_dump_json(indent=1).encode()], packed=True)
        self._zip.close()

    def abandon(self) -> None:
        """Write no more; the target is of no use."""
        with suppress(OSError, ValueError):  # whatever it is, something else has failed before
            self._zip.close()

    def _write(self, name: str, pieces: Iterable[bytes], *, packed: bool) -> Member:
        """Write a member; return its size and digest."""
        info = ZipInfo(name)
        info.compress_type = ZIP_DEFLATED if packed else ZIP_STORED
        digest, size = sha256(), 0
        with self._zip.open(info, "w", force_zip64=True) as member:
            for piece in pieces:
                member.write(piece)
                digest.update(piece)
                size += len(piece)
        return Member(bytes=size, sha256=digest.hexdigest())


class Archive:
    """
    A backup that was written.

    Parameters
    ----------
    file
        Where it lies.

    Raises
    ------
    BackupError
        If it is no backup, or holds something else than its manifest says.
    OSError
        If it cannot be read.
    """

    def __init__(self, file: Path) -> None:
        self._file = file
        with self._understood():
            self._zip = ZipFile(file)
            try:
                self.manifest = self._read_manifest()
                self._check_names()
            except BaseException:
                self._zip.close()
                raise

    def close(self) -> None:
        """Close the file."""
        self._zip.close()

    def check(self) -> None:
        """
        Read everything once.

        Raises
        ------
        BackupError
            If a member is not what the manifest says.
        """
        for name in self.manifest.members:
            for _ in self.pieces(name):
                pass

    def pieces(self, name: str) -> Iterator[bytes]:
        """Yield a member's bytes; raises `BackupError` at the end if they are others."""
        return self._checked(name, lambda member: member.read(PIECE))

    def lines(self, name: str) -> Iterator[bytes]:
        """Yield a member's lines likewise."""
        return self._checked(name, lambda member: member.readline(LONGEST_LINE))

    def _checked(self, name: str, read: Callable[[IO[bytes]], bytes]) -> Iterator[bytes]:
        """Yield what is read of a member, never more than the manifest says."""
        expected, digest, size = self.manifest.members[name], sha256(), 0
        with self._understood(name), self._zip.open(name) as member:
            while piece := read(member):
                digest.update(piece)
                size += len(piece)
                if size > expected.bytes:
                    break
                yield piece
        if (size, digest.hexdigest()) != (expected.bytes, expected.sha256):
            raise BackupError(f"{self._file}: {name} is damaged.")

    def _read_manifest(self) -> Manifest:
        """Read the manifest, which may come from anywhere."""
        with self._zip.open(MANIFEST) as member:
            data = member.read(_LARGEST_MANIFEST + 1)
        if len(data) > _LARGEST_MANIFEST:
            raise BackupError(f"{self._file}: {MANIFEST} is too large to be that of a backup.")
        return Manifest.model_validate_json(data)

    def _check_names(self) -> None:
        """Refuse members that the manifest does not name, and the other way round."""
        names = self._zip.namelist()
        odd = set(names) ^ {MANIFEST, *self.manifest.members}
        if odd or len(names) != len(set(names)):
            first = min(odd or names)[:80]
            raise BackupError(
                f'{self._file}: what it holds is not what its manifest says ("{first}").'
            )

    @contextmanager
    def _understood(self, name: str = "") -> Iterator[None]:
        """Say in words that the zip cannot be read."""
        try:
            yield
        except ValidationError as refused:
            first = refused.errors(include_url=False)[0]
            place = ".".join(str(step)[:80] for step in first["loc"])
            raise BackupError(
                f"{self._file}: {MANIFEST} is not that of a backup ({place}: {first['msg']})."
            ) from refused
        except _ZIP_ERRORS as failed:
            where = f"{name} is damaged" if name else "is no backup, or is damaged"
            raise BackupError(f"{self._file}: {where} ({failed}).") from failed
