"""A backup read back is what was backed up, on either database and from one to the other."""

from __future__ import annotations

import os
import re
import shutil
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from threading import Event, Thread
from typing import Any

import orjson
import pytest
from sqlalchemy import event, inspect

from ribstitch.planfile import dump_plan
from ribstitch.planning.model import Task
from ribstitch.store import Edit, FileStore, NewerDatabaseError, Person, Store, make_engine
from ribstitch.store.backups import (
    Archive,
    BackupError,
    Manifest,
    Written,
    restore_backup,
    write_backup,
)
from ribstitch.store.migrate import newest_revision
from tests.store import first_release
from tests.support.accounts import Hangar
from tests.support.postgres import fresh_schema

AT = datetime(2026, 3, 1, 2, 0, tzinfo=UTC)
WHO = Person("Shop lead", "lead")


class Place:
    """A database and its folder of files."""

    def __init__(self, url: str, folder: Path) -> None:
        self.url = url
        self.files = FileStore(folder)

    def back_up(self, target: Path) -> Written:
        with self.engine() as engine:
            return write_backup(engine, self.files, target, AT)

    def restore(self, file: Path) -> Manifest:
        with self.engine() as engine:
            return restore_backup(file, engine, self.files)

    @contextmanager
    def engine(self) -> Iterator[Any]:
        engine = make_engine(self.url)
        yield engine
        engine.dispose()

    def contents(self) -> dict[str, Any]:
        """Return what people see of it, read by the store and not by what makes backups."""
        with self.engine() as engine, Store(engine).reading() as look:
            numbers = [one.id for one in look.projects()]
            return {
                "plans": {one: dump_plan(look.plan(one).plan) for one in numbers},
                "changes": {one: look.changes(one) for one in numbers},
                "forecasts": {one: look.forecasts(one) for one in numbers},
                "spreads": {one: look.spreads(one) for one in numbers},
                "files": {one: self.files.read(one) for one in self.files.digests()},
            }

    @property
    def is_empty(self) -> bool:
        """Whether nothing was left behind."""
        if self.files.folder.exists() and list(self.files.folder.iterdir()):
            return False
        if self.url.startswith("sqlite"):
            return not list(Path(self.url.removeprefix("sqlite:///")).parent.glob("*.db*"))
        with self.engine() as engine:
            return not inspect(engine).get_table_names()


@pytest.fixture
def demo(demo_data: Path, tmp_path: Path) -> Place:
    """A demo with photos, and a change more than it came with."""
    folder = tmp_path / "demo"
    shutil.copytree(demo_data, folder)
    place = Place(f"sqlite:///{folder / 'ribstitch.db'}", folder / "ribstitch-files")
    with place.engine() as engine:
        hangar = Hangar(Store(engine))
        hangar.join(hangar.set_up(), "planner@hangar.example", {1: "planner"})
        add_note(Store(engine), 'Ä – as found\n"quoted"')
    return place


@pytest.fixture
def elsewhere(database_url: str, tmp_path: Path) -> Place:
    """An empty place on each database."""
    return Place(database_url, tmp_path / "elsewhere")


@pytest.fixture
def here(tmp_path: Path) -> Place:
    """An empty place on SQLite, in a folder of its own."""
    folder = tmp_path / "here"
    folder.mkdir()
    return Place(f"sqlite:///{folder / 'x.db'}", folder / "files")


def add_note(store: Store, notes: str) -> None:
    """Change a task of project 1."""
    with store.begin(WHO, AT) as work:
        stored = work.plan(1)
        task: Task = stored.plan.tasks[0]
        edit = Edit("task", task.id, task, replace(task, notes=notes))
        work.write(1, stored.versions["task"][task.id], [edit], "edit", "")


def test_what_is_read_back_is_what_was_there_on_both_databases_and_across(
    demo: Place, elsewhere: Place, here: Place, tmp_path: Path
) -> None:
    """From SQLite to SQLite or PostgreSQL, and from there to SQLite."""
    before = demo.contents()
    assert len(before["files"]) > 3
    assert before["plans"][1]
    written = demo.back_up(tmp_path / "one.zip")
    assert (written.damaged, written.missing) == ((), ())
    assert written.manifest.tables["account_log"] > 0
    elsewhere.restore(tmp_path / "one.zip")
    assert elsewhere.contents() == before
    again = elsewhere.back_up(tmp_path / "two.zip")
    assert again.manifest.members == written.manifest.members
    here.restore(tmp_path / "two.zip")
    assert here.contents() == before


def test_work_goes_on_where_a_backup_was_restored(
    demo: Place, elsewhere: Place, tmp_path: Path
) -> None:
    """New rows get numbers of their own, and the logs stay append-only."""
    demo.back_up(tmp_path / "one.zip")
    elsewhere.restore(tmp_path / "one.zip")
    with elsewhere.engine() as engine:
        store = Store(engine)
        add_note(store, "after the restore")
        with store.reading() as look:
            plan, last = look.plan(1).plan, look.changes(1)[0]
        with store.begin(WHO, AT) as work:
            assert work.add_plan(plan) == 2
        assert last.after is not None
        assert last.after["notes"] == "after the restore"
        with engine.connect() as connection, pytest.raises(Exception, match="append-only"):
            connection.exec_driver_sql("DELETE FROM forecast_log")


def test_a_backup_while_others_write_is_that_of_one_moment(
    demo: Place, elsewhere: Place, here: Place, tmp_path: Path
) -> None:
    """Each change adds one to the plan version, the change log and the forecast log at once."""
    demo.back_up(tmp_path / "one.zip")
    elsewhere.restore(tmp_path / "one.zip")
    stop, begun = Event(), Event()

    def write() -> None:
        with elsewhere.engine() as engine:
            count = 0
            while not stop.is_set():
                count += 1
                add_note(Store(engine), f"note {count}")
                begun.set()

    writer = Thread(target=write)
    writer.start()
    try:
        assert begun.wait(60)
        elsewhere.back_up(tmp_path / "busy.zip")
        begun.clear()
        assert begun.wait(60), "the backup has stopped the writer"
    finally:
        stop.set()
        writer.join()
    here.restore(tmp_path / "busy.zip")
    with here.engine() as engine, Store(engine).reading() as look:
        version, changes = look.plan_version(1), look.changes(1)
        assert changes[0].plan_version == version
        task = look.plan(1).plan.tasks[0]
        assert changes[0].after is not None
        assert task.notes == changes[0].after["notes"]
    with elsewhere.engine() as engine, Store(engine).reading() as look:
        assert look.plan_version(1) > version


def test_a_backup_of_the_first_release_is_brought_up_to_date(
    database_url: str, here: Place, tmp_path: Path
) -> None:
    old = Place(database_url, tmp_path / "old")
    with old.engine() as engine:
        first_release.fill(engine)
    written = old.back_up(tmp_path / "old.zip")
    assert written.manifest.revision == "0001"
    assert here.restore(tmp_path / "old.zip").revision == "0001"
    with here.engine() as engine, Store(engine).reading() as look:
        assert look.plan(1).plan == first_release.PLAN
        assert newest_revision() != "0001"


def test_a_backup_of_the_first_release_comes_up_on_postgresql(
    sqlite_url: str, postgres_url: str, tmp_path: Path
) -> None:
    """Tables are altered in the transaction that has filled them."""
    old = Place(sqlite_url, tmp_path / "old")
    with old.engine() as engine:
        first_release.fill(engine)
    old.back_up(tmp_path / "old.zip")
    with fresh_schema(postgres_url) as url:
        new = Place(url, tmp_path / "new")
        new.restore(tmp_path / "old.zip")
        with new.engine() as engine, Store(engine).reading() as look:
            assert look.plan(1).plan == first_release.PLAN


def test_a_backup_overwrites_nothing(demo: Place, tmp_path: Path) -> None:
    target = tmp_path / "kept.zip"
    target.write_text("mine")
    with pytest.raises(BackupError, match=r"kept\.zip: is there already"):
        demo.back_up(target)
    assert target.read_text() == "mine"


def test_where_nothing_is_nothing_is_backed_up(here: Place, tmp_path: Path) -> None:
    with pytest.raises(BackupError, match="nothing to back up"):
        here.back_up(tmp_path / "x.zip")
    assert here.is_empty
    assert not (tmp_path / "x.zip").exists()


def test_a_full_disk_leaves_no_backup(
    demo: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`/dev/full` refuses each write as a full disk does."""
    unfinished = tmp_path / "unfinished"

    def full(**_: object) -> tuple[int, str]:
        unfinished.touch()
        return os.open("/dev/full", os.O_WRONLY), str(unfinished)

    monkeypatch.setattr("ribstitch.store.backups.writing.mkstemp", full)
    with pytest.raises(BackupError, match=r"x\.zip: cannot be written \(No space left"):
        demo.back_up(tmp_path / "x.zip")
    assert not unfinished.exists()
    assert not (tmp_path / "x.zip").exists()


def test_damaged_and_missing_photos_are_told_and_the_rest_is_kept(
    demo: Place, here: Place, tmp_path: Path
) -> None:
    first, second, *rest = demo.files.digests()
    (demo.files.folder / first[:2] / first).write_bytes(b"other")
    (demo.files.folder / second[:2] / second).unlink()
    written = demo.back_up(tmp_path / "x.zip")
    assert (written.damaged, written.missing) == ((first,), (second,))
    here.restore(tmp_path / "x.zip")
    assert here.files.digests() == rest


def test_only_an_empty_database_is_restored_into(
    demo: Place, elsewhere: Place, tmp_path: Path
) -> None:
    demo.back_up(tmp_path / "x.zip")
    with elsewhere.engine() as engine, engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE mine (id INTEGER)")
    with pytest.raises(BackupError, match="database is not empty"):
        elsewhere.restore(tmp_path / "x.zip")
    with elsewhere.engine() as engine:
        assert inspect(engine).get_table_names() == ["mine"]
    assert not elsewhere.files.folder.exists()


def test_only_an_empty_folder_is_restored_into(demo: Place, here: Place, tmp_path: Path) -> None:
    demo.back_up(tmp_path / "x.zip")
    mine = here.files.folder / "mine"
    here.files.folder.mkdir()
    mine.write_text("mine")
    with pytest.raises(BackupError, match="files: is not empty"):
        here.restore(tmp_path / "x.zip")
    mine.unlink()
    assert here.is_empty


def test_a_full_disk_leaves_nothing_restored(
    demo: Place, here: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite reports what it would on a full disk once it may not grow any further."""
    demo.back_up(tmp_path / "x.zip")
    engine = make_engine(here.url)
    event.listen(engine, "connect", lambda one, _: one.execute("PRAGMA max_page_count = 60"))
    with pytest.raises(BackupError, match="database or disk is full"):
        restore_backup(tmp_path / "x.zip", engine, here.files)
    assert here.is_empty

    count = iter(range(99))
    real = __import__("tempfile").mkstemp

    def soon_full(**given: Any) -> tuple[int, str]:
        handle, name = real(**given)
        if next(count) < 2:
            return handle, name
        os.close(handle)
        return os.open("/dev/full", os.O_WRONLY), name

    monkeypatch.setattr("ribstitch.store.files.mkstemp", soon_full)
    with pytest.raises(Exception, match="folder of photos"):
        here.restore(tmp_path / "x.zip")
    assert here.is_empty
    assert not here.files.folder.exists()


Change = Callable[[dict[str, bytes]], object]


def _manifest(members: dict[str, bytes], change: Callable[[dict[str, Any]], object]) -> None:
    """Change the manifest of a backup."""
    document = orjson.loads(members["manifest.json"])
    change(document)
    members["manifest.json"] = orjson.dumps(document)


def _rewrite(members: dict[str, bytes], name: str, content: bytes) -> None:
    """Change a member and what the manifest says of it, as somebody with ill will would."""
    members[name] = content
    entry = {"bytes": len(content), "sha256": sha256(content).hexdigest()}
    _manifest(members, lambda document: document["members"].update({name: entry}))


def _first_file(members: dict[str, bytes]) -> str:
    return next(name for name in members if name.startswith("files/"))


CRAFTED: dict[str, tuple[Change, str]] = {
    "another photo": (lambda all_: all_.update({_first_file(all_): b"x"}), r"files/\w+ is damaged"),
    "rows changed": (
        lambda all_: all_.update({"rows/task.jsonl": all_["rows/task.jsonl"][:-9]}),
        r"rows/task\.jsonl is damaged",
    ),
    "more rows than stated": (
        lambda all_: all_.update({"rows/task.jsonl": all_["rows/task.jsonl"] * 50}),
        r"rows/task\.jsonl is damaged",
    ),
    "no manifest": (lambda all_: all_.pop("manifest.json"), "is no backup"),
    "a photo gone": (lambda all_: all_.pop(_first_file(all_)), "not what its manifest says"),
    "a stowaway": (lambda all_: all_.update({"../evil": b"x"}), r'manifest says \("\.\./evil"\)'),
    "a name that leads elsewhere": (
        lambda all_: _rewrite(all_, "files/../../evil", b"x"),
        r"manifest\.json is not that of a backup .* name of no member",
    ),
    "an absolute name": (lambda all_: _rewrite(all_, "/etc/x", b"x"), "name of no member"),
    "another format": (
        lambda all_: _manifest(all_, lambda one: one.update(format="ribstitch-backup/9")),
        "format",
    ),
    "a table too few": (
        lambda all_: _manifest(all_, lambda one: one["tables"].pop("task")),
        "tables are not those of revision",
    ),
    "another count": (
        lambda all_: _manifest(all_, lambda one: one["tables"].update(task=1)),
        "not as many as it says",
    ),
    "a word for a number": (
        lambda all_: _rewrite(
            all_,
            "rows/crew.jsonl",
            re.sub(rb'"people":(\d+)', rb'"people":"\1"', all_["rows/crew.jsonl"], count=1),
        ),
        r"rows/crew\.jsonl holds no rows .*people is no int",
    ),
    "columns of its own": (
        lambda all_: _rewrite(all_, "rows/task.jsonl", b'{"x":1}\n' + all_["rows/task.jsonl"]),
        r"rows/task\.jsonl holds no rows of that table",
    ),
    "a reference to nothing": (
        lambda all_: _rewrite(
            all_, "rows/task.jsonl", all_["rows/task.jsonl"].replace(b'"zone":"', b'"zone":"no-', 1)
        ),
        "cannot be restored|refer to nothing",
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def sound(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The members of a sound backup."""
    file = tmp_path_factory.mktemp("sound") / "x.zip"
    Place(f"sqlite:///{demo_data / 'ribstitch.db'}", demo_data / "ribstitch-files").back_up(file)
    with zipfile.ZipFile(file) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.mark.parametrize("name", CRAFTED)
def test_a_backup_that_was_tampered_with_is_refused(
    sound: dict[str, bytes], here: Place, tmp_path: Path, name: str
) -> None:
    change, sentence = CRAFTED[name]
    members = dict(sound)
    change(members)
    file = _zip(tmp_path / "x.zip", members)
    with pytest.raises(BackupError, match=sentence):
        here.restore(file)
    assert here.is_empty


def test_references_are_checked_on_postgresql_as_well(
    sound: dict[str, bytes], postgres_url: str, tmp_path: Path
) -> None:
    members = dict(sound)
    CRAFTED["a reference to nothing"][0](members)
    with fresh_schema(postgres_url) as url:
        place = Place(url, tmp_path / "files")
        with pytest.raises(BackupError, match="cannot be restored"):
            place.restore(_zip(tmp_path / "x.zip", members))
        assert place.is_empty


def test_a_truncated_backup_is_refused(
    sound: dict[str, bytes], here: Place, tmp_path: Path
) -> None:
    file = _zip(tmp_path / "x.zip", sound)
    whole = file.read_bytes()
    for length in (0, 10, len(whole) // 2, len(whole) - 1):
        file.write_bytes(whole[:length])
        with pytest.raises(BackupError, match=r"x\.zip: is no backup"):
            here.restore(file)
    assert here.is_empty


def test_every_flipped_bit_of_a_photo_is_noticed(
    sound: dict[str, bytes], here: Place, tmp_path: Path
) -> None:
    """In the middle of a member that is not packed: its own check sum says so first."""
    file = _zip(tmp_path / "x.zip", sound)
    whole = bytearray(file.read_bytes())
    place = whole.index(sound[_first_file(sound)]) + 100
    whole[place] ^= 1
    file.write_bytes(whole)
    with pytest.raises(BackupError, match=r"files/\w+ is damaged"):
        here.restore(file)
    assert here.is_empty


def test_a_zip_that_unpacks_to_far_more_is_not_unpacked(
    sound: dict[str, bytes], here: Place, tmp_path: Path
) -> None:
    """The manifest says little and the member holds much: reading stops where it should end."""
    members = {**sound, "rows/task.jsonl": b"0" * 50_000_000}
    file = _zip(tmp_path / "x.zip", members)
    assert file.stat().st_size < sum(map(len, sound.values()))
    read = 0
    with closing(Archive(file)) as archive:
        pieces = archive.pieces("rows/task.jsonl")
        with pytest.raises(BackupError, match=r"task\.jsonl is damaged"):
            read += sum(map(len, pieces))
    assert read <= len(sound["rows/task.jsonl"])


def test_a_large_manifest_is_not_read(here: Place, tmp_path: Path) -> None:
    file = _zip(tmp_path / "x.zip", {"manifest.json": b" " * 65 * 1024 * 1024})
    with pytest.raises(BackupError, match="too large to be that of a backup"):
        here.restore(file)


def test_a_backup_of_a_later_release_is_refused(
    sound: dict[str, bytes], here: Place, tmp_path: Path
) -> None:
    members = dict(sound)
    _manifest(members, lambda document: document.update(revision="9999"))
    with pytest.raises(NewerDatabaseError, match="later release"):
        here.restore(_zip(tmp_path / "x.zip", members))
    assert here.is_empty


def _zip(file: Path, members: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(file, "w") as archive:
        for name, content in members.items():
            packed = zipfile.ZIP_STORED if name.startswith("files/") else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(name), content, packed)
    return file
