"""Small plans whose dates can be worked out on paper: every date of the calendar is worked
but for weekends, and 4 January 2027 is a Monday.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ribstitch.planning.model import (
    Calendar,
    Link,
    Milestone,
    Plan,
    Project,
    SendOut,
    SendOutKind,
    SendOutStatus,
    State,
    Task,
    TaskStatus,
    Vendor,
    Zone,
)
from ribstitch.planning.ticks import TICKS_PER_DAY

MONDAY = date(2027, 1, 4)


def days(count: float) -> int:
    """Return working days as ticks."""
    return int(count * TICKS_PER_DAY)


def work(task_id: str, length: float, zone: str | None = "tail", **more: object) -> Task:
    """Return a task named after its id."""
    task = Task(task_id, days(length), name=f"Work {task_id}", zone=zone)
    return replace(task, **more)  # type: ignore[arg-type]


def engine_plan() -> Plan:
    """
    Return a plan in which an engine leaves the nose and comes back before it is hung.

    Out on Tuesday 5 January, a day on the road, ten days at the vendor, a day back; the
    tail has work of its own meanwhile.
    """
    return Plan(
        project=Project(MONDAY, MONDAY, name="Test", target_finish=date(2027, 3, 1)),
        calendars=(Calendar("shop"),),
        zones=(Zone("nose", "Nose"), Zone("tail", "Tail"), Zone("wing", "Wing")),
        tasks=(
            work("N1", 1, "nose", name="Take engine off"),
            work("N2", 2, "nose", name="Hang engine"),
            work("T1", 5),
            work("T2", 3),
            Task("DONE", 0, name="First flight", zone="nose", milestone=Milestone.FINISH),
        ),
        links=(Link("N2", "DONE"), Link("T1", "DONE"), Link("T2", "DONE")),
        vendors=(Vendor("V1", "Engine Rooms", country="GB", kinds=("engine",)),),
        kinds=(SendOutKind("engine", 1.35, 2.2),),
        send_outs=(
            SendOut(
                "S1", "V1", name="Engine", kind="engine", after=("N1",), before=("N2",),
                prepare=days(1), ship_out=days(1), lead=days(10), ship_back=days(1),
                accept=days(1),
            ),
        ),
    )  # fmt: skip


def shipped_plan() -> Plan:
    """Return the engine plan a week on: shipped a day late, and a promise that is later still."""
    plan = engine_plan()
    status = SendOutStatus(
        shipped=date(2027, 1, 6), arrived=date(2027, 1, 7), promised=date(2027, 1, 29)
    )
    done = TaskStatus(State.DONE, MONDAY, MONDAY)
    held = TaskStatus(State.HELD, held_reason="No drawings")
    begun = TaskStatus(State.IN_WORK, date(2027, 1, 5), remaining=days(2))
    states = {"N1": done, "T1": begun, "T2": held}
    return replace(
        plan,
        project=replace(plan.project, as_of=date(2027, 1, 11)),
        tasks=tuple(replace(one, status=states.get(one.id, one.status)) for one in plan.tasks),
        send_outs=(replace(plan.send_outs[0], status=status),),
    )
