"""What the preview of a task's plan says is what saving the same leads to, for random plans."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Link, Plan, Relation
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.holds import CheckHoldsError
from ribstitch.services.import_plan import import_plan
from ribstitch.services.plan_task import LinkAsked, TaskPlan, save_task_plan
from ribstitch.services.preview_plan import MOST_NAMED, PlanPreview, preview_task_plan
from ribstitch.services.undo import undo_last
from ribstitch.store import Store
from ribstitch.store.engine import make_engine
from tests.property.settings import examples
from tests.property.strategies import plans
from tests.store.plans import AT, DAY, LEAD


@pytest.fixture(scope="module")
def store(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A store for projects that are drawn one after the other."""
    file = shutil.copy(migrated_file, tmp_path_factory.mktemp("previews") / "some.db")
    found = Store(make_engine(f"sqlite:///{file}"))
    yield found
    found.close()


def asked_of(current: CurrentPlan, draw: st.DataObject) -> TaskPlan:
    """Draw what shall be otherwise of a task of a plan and of its links."""
    plan = current.plan
    task = draw.draw(st.sampled_from(plan.tasks))
    kept = dict(zip(current.versions["link"], plan.links, strict=True))
    own = [key for key, link in kept.items() if task.id in (link.before, link.after)]
    links = []
    for key in own:
        match draw.draw(st.sampled_from(("leave", "leave", "take away", "change"))):
            case "take away":
                links.append(LinkAsked(key, current.versions["link"][key], None))
            case "change":
                relation = draw.draw(st.sampled_from(list(Relation)))
                then = replace(kept[key], relation=relation, lag=draw.draw(st.integers(0, 3)) * DAY)
                links.append(LinkAsked(key, current.versions["link"][key], then))
    if draw.draw(st.booleans()):
        other = draw.draw(st.sampled_from(plan.tasks)).id
        ends = (other, task.id) if draw.draw(st.booleans()) else (task.id, other)
        links.append(LinkAsked(None, None, Link(*ends)))
    days = draw.draw(st.integers(0, 20))
    duration = 0 if task.milestone else days * DAY
    longer = replace(task, duration=duration, duration_range=None)
    return TaskPlan(longer, current.versions["task"][task.id], links)


def looked_at(store: Store, current: CurrentPlan, asked: TaskPlan) -> PlanPreview | Exception:
    """Return the preview, or why there is none."""
    try:
        return preview_task_plan(store, current, asked)
    except (PlanError, CheckHoldsError) as refused:
        return refused


def finishes(result: Schedule) -> dict[str, date]:
    """Return the finish of each activity that is done at all, by id."""
    return {
        one.id: result.finish_on_of(number)
        for number, one in enumerate(result.activities)
        if not one.dropped
    }


def path(result: Schedule) -> set[str]:
    """Return what sets the finish."""
    return {result.activities[number].id for number in result.critical_path}


@examples(25)
@given(plan=plans(min_tasks=2, max_tasks=8, max_send_outs=1), draw=st.data())
def test_preview_says_what_saving_leads_to(store: Store, plan: Plan, draw: st.DataObject) -> None:
    forecasts = Forecasts(store)
    project = import_plan(store, plan, LEAD, AT)
    current = forecasts.current(project)
    asked = asked_of(current, draw)
    told = looked_at(store, current, asked)
    if isinstance(told, Exception):
        with pytest.raises(type(told)) as refused:
            save_task_plan(forecasts, project, asked, LEAD, AT)
        assert str(refused.value) == str(told)
        assert forecasts.current(project).plan == plan
        return
    assert forecasts.current(project).plan_version == 1, "a preview writes nothing"

    done = save_task_plan(forecasts, project, asked, LEAD, AT)

    with store.reading() as reading:
        after = schedule(reading.plan(project).plan)
    before = schedule(plan)
    assert (told.finish.before, told.finish.after) == (before.finish_on, after.finish_on)
    assert done.recorded.finish_after == told.finish.after
    was, will = finishes(before), finishes(after)
    moved = {one: (will[one] - was[one]).days for one in was.keys() & will.keys()}
    moved = {one: days for one, days in moved.items() if days}
    assert told.moved.count == len(moved)
    assert told.moved.later == len([1 for days in moved.values() if days > 0])
    named = {one.id: one.moved_days for one in told.moved.largest}
    assert named.items() <= moved.items()
    assert len(named) == min(len(moved), MOST_NAMED)
    sizes = sorted((abs(days) for days in moved.values()), reverse=True)
    assert [abs(one.moved_days) for one in told.moved.largest] == sizes[:MOST_NAMED]
    assert told.newly_on_path.count == len(path(after) - path(before))
    assert told.no_longer_on_path.count == len(path(before) - path(after))
    deadlines = {one.id: one.deadline for one in plan.tasks if one.deadline and one.id in will}
    missed = {one for one, day in deadlines.items() if will[one] > day and not was[one] > day}
    assert {one.id for one in told.newly_missed} == missed

    if done.recorded.change_number is not None:
        undo_last(forecasts, project, done.kind, done.recorded.key, LEAD, AT)
    assert forecasts.current(project).plan == plan
