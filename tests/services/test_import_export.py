"""A plan that is taken in comes out equal; a bad one leaves nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ribstitch.planfile import dump_plan, parse_plan
from ribstitch.planning.errors import CycleError, PlanError
from ribstitch.planning.model import Link, Task
from ribstitch.planning.schedule import schedule
from ribstitch.services.evidence_file import media_type_of
from ribstitch.services.export_plan import export_plan
from ribstitch.services.forecast import Forecasts
from ribstitch.services.import_plan import import_plan
from ribstitch.services.list_projects import list_projects
from ribstitch.services.load_demo import load_demo
from ribstitch.store import FileStore, Store, UnknownProjectError
from tests.store.plans import AT, LEAD, full_plan, short_plan


def test_exported_plan_equals_the_imported_one(store: Store) -> None:
    project_id = import_plan(store, full_plan(), LEAD, AT)
    assert export_plan(store, project_id) == full_plan()


def test_plan_file_that_went_through_the_store_has_the_same_bytes(store: Store) -> None:
    data = dump_plan(short_plan())
    project_id = import_plan(store, parse_plan(data, "short.plan.json"), LEAD, AT)
    assert dump_plan(export_plan(store, project_id)) == data


def test_first_forecast_is_logged(store: Store) -> None:
    project_id = import_plan(store, short_plan(), LEAD, AT)
    with store.reading() as reading:
        (entry,) = reading.forecasts(project_id)
        (change,) = reading.changes(project_id)
    assert (entry.plan_version, entry.finish) == (1, schedule(short_plan()).finish_on)
    assert (change.action, change.before) == ("project.import", None)


def test_plan_that_cannot_be_scheduled_is_refused_with_nothing_stored(store: Store) -> None:
    plan = short_plan()
    loop = replace(plan, links=(*plan.links, Link("close", "open")))
    lost = replace(plan, tasks=(*plan.tasks, Task("more", 1440, zone="nowhere")))
    with pytest.raises(CycleError):
        import_plan(store, loop, LEAD, AT)
    with pytest.raises(PlanError, match='no zone "nowhere"'):
        import_plan(store, lost, LEAD, AT)
    assert list_projects(store) == []


def test_projects_are_listed_oldest_first(store: Store) -> None:
    first = import_plan(store, full_plan(), LEAD, AT)
    second = import_plan(store, short_plan(), LEAD, AT)
    assert [(one.id, one.project.name) for one in list_projects(store)] == [
        (first, "Whole – «ß» 東"),
        (second, "Trial"),
    ]


def test_unknown_project_cannot_be_exported(store: Store) -> None:
    with pytest.raises(UnknownProjectError, match="no project 4"):
        export_plan(store, 4)


def test_demo_is_loaded_whole(store: Store, tmp_path: Path) -> None:
    files = FileStore(tmp_path / "files")
    project_id = load_demo(store, files, LEAD, AT)
    current = Forecasts(store).current(project_id)
    assert len(current.plan.tasks) >= 150
    assert len(current.plan.vendors) == 12
    assert current.plan.project.aircraft.startswith("Lorrimoor")
    assert len(current.plan.evidence) == 8
    for photo in current.plan.evidence:
        content = files.read(photo.sha256)
        assert (len(content), media_type_of(content)) == (photo.size, photo.media_type)
        assert len(content) < 40_000
    assert parse_plan(dump_plan(current.plan), "again") == current.plan
