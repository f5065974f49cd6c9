"""Which of the nightly backups are kept."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from ribstitch.services.nightly_backups import NightlyBackups, to_drop
from ribstitch.store import FileStore, Store, make_engine
from ribstitch.store.backups import Archive

FIRST = date(2025, 1, 1)


def test_fourteen_days_and_twelve_months_are_left_after_three_years() -> None:
    """Counted by hand: made every day until 2027-12-31."""
    kept: list[date] = []
    for day in range(3 * 365):
        kept.append(FIRST + timedelta(days=day))
        for one in to_drop(kept):
            kept.remove(one)
    days = [date(2027, 12, day) for day in range(18, 32)]
    months = [date(2027, month, 1) - timedelta(days=1) for month in range(2, 13)]
    assert sorted(kept) == [*months, *days]


def test_nights_without_a_backup_cost_none_that_is_there() -> None:
    """Fourteen backups are kept, however long ago."""
    assert to_drop([FIRST + timedelta(days=40 * one) for one in range(14)]) == []


def test_what_else_lies_in_the_folder_is_let_alone(
    migrated_sqlite_url: str, tmp_path: Path
) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    others = {"ribstitch-nightly-2020-01-01.zip.part", "mine.zip", "ribstitch-2020-01-01.zip"}
    for name in others:
        (folder / name).touch()
    old = {f"ribstitch-nightly-2024-01-{day:02d}.zip" for day in range(1, 15)}
    for name in old:
        (folder / name).touch()
    engine = make_engine(migrated_sqlite_url)
    backups = NightlyBackups(Store(engine), FileStore(tmp_path / "files"), folder)
    at = datetime(2026, 5, 1, 0, 10, tzinfo=UTC)
    backups.make_if_due(at)
    made = folder / "ribstitch-nightly-2026-05-01.zip"
    before = made.stat()
    backups.make_if_due(at + timedelta(hours=20))
    assert made.stat() == before
    archive = Archive(made)
    assert archive.manifest.made_at == at
    archive.close()
    engine.dispose()
    left = {one.name for one in folder.iterdir()}
    assert left == others | {made.name} | old - {"ribstitch-nightly-2024-01-01.zip"}


def test_the_last_backup_is_the_newest_by_its_name(tmp_path: Path) -> None:
    engine = make_engine(f"sqlite:///{tmp_path / 'x.db'}")
    backups = NightlyBackups(Store(engine), FileStore(tmp_path / "files"), tmp_path)
    assert backups.last_on is None
    with pytest.raises(Exception, match="nothing to back up"):
        backups.make_if_due(datetime(2026, 5, 1, tzinfo=UTC))
    assert backups.has_failed
    for day in (3, 1, 2):
        (tmp_path / f"ribstitch-nightly-2026-05-0{day}.zip").touch()
    assert backups.last_on == date(2026, 5, 3)
