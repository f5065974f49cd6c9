"""The folder of files: where it lies, and that nothing in it is half or wrong."""

from __future__ import annotations

import errno
import os
from hashlib import sha256
from pathlib import Path
from threading import Thread

import pytest

from ribstitch.settings import Settings
from ribstitch.store import (
    DamagedFileError,
    FileStore,
    FilesUnavailableError,
    MissingFileError,
)

PLACES = {
    "sqlite:///ribstitch.db": "ribstitch-files",
    "sqlite:///x/ribstitch.db": "x/ribstitch-files",
    "sqlite:////srv/shop/plans.sqlite3": "/srv/shop/plans-files",
    "sqlite:////srv/shop/plans": "/srv/shop/plans-files",
    "sqlite:///x/a.b.db?timeout=3": "x/a.b-files",
    "postgresql://shop@host/ribstitch": "ribstitch-files",
}


@pytest.mark.parametrize("url", PLACES)
def test_the_folder_lies_beside_the_database(url: str) -> None:
    assert Settings(database_url=url).files_folder == Path(PLACES[url])


def test_the_setting_says_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RIBSTITCH_FILES", "/srv/photos")
    assert Settings(database_url="sqlite:///x/ribstitch.db").files_folder == Path("/srv/photos")


def test_a_file_lies_under_its_digest_and_is_read_again(tmp_path: Path) -> None:
    """The digest of "abc" is the first example of FIPS 180-4 for SHA-256."""
    files = FileStore(tmp_path / "files")
    digest = files.put(b"abc")
    assert digest == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert (tmp_path / "files" / "ba" / digest).read_bytes() == b"abc"
    assert files.read(digest) == b"abc"


def test_the_same_content_is_written_once(tmp_path: Path) -> None:
    files = FileStore(tmp_path)
    place = tmp_path / files.put(b"abc")[:2]
    (first,) = place.iterdir()
    written = first.stat().st_mtime_ns, first.stat().st_ino
    files.put(b"abc")
    assert [(one.stat().st_mtime_ns, one.stat().st_ino) for one in place.iterdir()] == [written]


def test_what_is_not_here_or_was_changed_is_not_read(tmp_path: Path) -> None:
    files = FileStore(tmp_path)
    with pytest.raises(MissingFileError, match="abababababab… is not here"):
        files.read("ab" * 32)
    digest = files.put(b"abc")
    (tmp_path / digest[:2] / digest).write_bytes(b"xyz")
    with pytest.raises(DamagedFileError, match="was changed"):
        files.read(digest)
    files.put(b"abc")
    assert files.read(digest) == b"abc"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_write_that_fails_leaves_nothing_half(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def fail(*_: object) -> None:
        raise OSError(errno.ENOSPC, "no room")

    files = FileStore(tmp_path)
    with monkeypatch.context() as broken:
        broken.setattr(os if step == "fsync" else Path, step, fail)
        with pytest.raises(FilesUnavailableError, match="nothing was stored"):
            files.put(b"abc")
    assert [one for one in tmp_path.rglob("*") if one.is_file()] == []
    assert files.read(files.put(b"abc")) == b"abc"


def test_many_writers_of_the_same_file_do_not_disturb_each_other(tmp_path: Path) -> None:
    files, content = FileStore(tmp_path), bytes(300_000)
    digest = sha256(content).hexdigest()
    writers = [Thread(target=files.put, args=(content,)) for _ in range(8)]
    for one in writers:
        one.start()
    for one in writers:
        one.join()
    assert files.read(digest) == content
    assert [one.name for one in tmp_path.rglob("*") if one.is_file()] == [digest]


def test_a_small_picture_lies_beside_its_file(tmp_path: Path) -> None:
    files = FileStore(tmp_path)
    digest = files.put(b"abc")
    assert files.thumbnail(digest) is None
    files.put_thumbnail(digest, b"small")
    assert files.thumbnail(digest) == b"small"
    assert files.read(digest) == b"abc"
