"""Plans to look at, without any database."""

from __future__ import annotations

from datetime import date

from ribstitch.planning.model import (
    Calendar,
    Contact,
    Crew,
    Link,
    Milestone,
    Plan,
    Project,
    SendOut,
    SendOutStatus,
    State,
    Task,
    TaskStatus,
    Vendor,
    Zone,
)
from ribstitch.services.forecast import CurrentPlan, forecast
from ribstitch.store import StoredPlan
from ribstitch.store.kinds import PLAN_KINDS
from tests.store.plans import DAY


def current_of(plan: Plan) -> CurrentPlan:
    """Return the forecast of a plan as it would come out of the store."""
    versions = {
        kind.name: dict.fromkeys(kind.keys(kind.things(plan)), 1) for kind in PLAN_KINDS.values()
    }
    return forecast(StoredPlan(1, 1, plan, {"project": {"": 1}, **versions}))


def hangar(**changes: object) -> Plan:
    """
    Return a small restoration as of Fri 9 January 2026 (changes replace whole parts).

    The engine is at Fin Works, promised for the 30th; the frame is in work with two days
    left; the skin can be begun; the cover waits for the frame; the engine is hung when it
    is back; the seats are held; the survey was done this week.
    """
    parts: dict[str, object] = {
        "project": Project(
            date(2026, 1, 5), date(2026, 1, 9), "Trial", "Amphibian", "LM2-7",
            target_finish=date(2026, 2, 20),
        ),
        "calendars": (Calendar("shop"), Calendar("weekend", week_hours=(0,) * 5 + (8, 8))),
        "zones": (Zone("nose", "Nose"), Zone("tail", "Tail"), Zone("bare")),
        "tasks": (
            Task("survey", 3 * DAY, "Survey", "tail", trade="metal",
                 status=TaskStatus(State.DONE, date(2026, 1, 5), date(2026, 1, 7))),
            Task("frame", 4 * DAY, "Frame", "tail", trade="metal", hazards=("noise",),
                 status=TaskStatus(State.IN_WORK, date(2026, 1, 8), remaining=2 * DAY)),
            Task("cover", 5 * DAY, "Cover", "tail", trade="fabric", hazards=("dope",)),
            Task("skin", 2 * DAY, "Skin", "tail", trade="metal", hazards=("noise", "dope")),
            Task("hang", 3 * DAY, "Hang the engine", "nose", trade="metal"),
            Task("seats", DAY, "Seats", "nose", trade="fabric",
                 status=TaskStatus(State.HELD, held_reason="no cloth")),
            Task("sweep", DAY, "Sweep", trade="help", calendar="weekend"),
            Task("flight", 0, "First flight", milestone=Milestone.FINISH),
            Task("spare", 9 * DAY, "Left out", "tail", status=TaskStatus(State.DROPPED)),
        ),
        "links": (
            Link("survey", "frame"), Link("survey", "skin"), Link("frame", "cover"),
            Link("hang", "flight"), Link("cover", "flight"), Link("skin", "flight"),
        ),
        "vendors": (Vendor("V1", "Fin Works", country="CZ"), Vendor("V2", "Seat Loft")),
        "send_outs": (
            SendOut(
                "S1", "V1", "Engine", "engine", after=("survey",), before=("hang",),
                prepare=DAY, ship_out=2 * DAY, lead=10 * DAY, ship_back=2 * DAY, accept=DAY,
                status=SendOutStatus(
                    shipped=date(2026, 1, 5), arrived=date(2026, 1, 6), promised=date(2026, 1, 30)
                ),
                contacts=(Contact(date(2026, 1, 8), "on it"),),
            ),
        ),
        "crew": (Crew("metal", label="Metalworker 1"), Crew("fabric"), Crew("help")),
    }  # fmt: skip
    return Plan(**{**parts, **changes})  # type: ignore[arg-type]


def with_task(plan: Plan, changed: Task) -> tuple[Task, ...]:
    """Return the plan's tasks with one changed."""
    return tuple(changed if task.id == changed.id else task for task in plan.tasks)
