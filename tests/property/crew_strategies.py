"""Random plans with people and places."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from hypothesis import strategies as st

from ribstitch.planning.model import Calendar, Crew, Place, Plan, Project, State, TaskStatus
from tests.property.strategies import Chooser, plans

TRADES = ("metal", "wood", "paint")


def without_holidays(plan: Plan) -> Plan:
    return replace(plan, calendars=tuple(replace(one, holidays=None) for one in plan.calendars))


@st.composite
def crewed_plans(draw: st.DrawFn) -> Plan:
    """A plan whose tasks ask for people who are always there, or on the task's calendar."""
    plan = without_holidays(draw(plans(min_tasks=3, max_tasks=14, max_send_outs=1)))
    choose = Chooser(draw)
    tasks = tuple(
        replace(
            task,
            trade=choose.one_of((None, *TRADES)),
            people=choose.number(0, 2),
            places=(choose.one_of(("bay", "jig")),) if choose.chance(25) else (),
        )
        for task in plan.tasks
    )
    everyday = Calendar("everyday", week_hours=(8.0,) * 7)
    crew = [
        Crew("metal", 2, "everyday"),
        Crew("wood", choose.number(1, 2), "everyday", label="Ann"),
        Crew("paint", 2, choose.one_of(("everyday", "elapsed"))),
        Crew("wood", 1, "shop", label="Bo"),
    ]
    if choose.chance(50):
        crew.append(Crew("paint", 1, "shop", label="Bo"))
    if crew[1].people == 1:
        crew.append(Crew("wood", 1, "everyday"))
    return replace(
        plan,
        tasks=tasks,
        calendars=(*plan.calendars, everyday),
        crew=tuple(crew),
        places=(Place("bay", 1), Place("jig", 2)),
    )


@st.composite
def small_crews(draw: st.DrawFn) -> Plan:
    """A few tasks that have not begun; those in the shop are for people with two trades."""
    plan = without_holidays(draw(plans(min_tasks=4, max_tasks=6, max_send_outs=0)))
    choose = Chooser(draw)
    tasks = []
    for task in plan.tasks:
        calendar = choose.one_of((None, None, None, "elapsed", "odd"))
        trade = None if calendar else choose.one_of(("metal", "wood"))
        tasks.append(
            replace(
                task,
                duration=choose.eighths(1, 4),
                trade=trade,
                people=1,
                calendar=calendar,
                not_before=None,
                milestone=None,
                status=TaskStatus(),
            )
        )
    crew = (
        Crew("metal", 1, "shop", label="Ann"),
        Crew("wood", 1, "shop", label="Ann"),
        Crew("wood", 1, "shop", label="Bo"),
        Crew("metal", 1, "part", label="Cy"),
    )
    part = replace(plan.calendars[0], id="part", week_hours=(8.0, 8.0, 8.0, 0.0, 0.0, 0.0, 0.0))
    return replace(
        plan,
        tasks=tuple(tasks),
        links=plan.links[: choose.number(0, 3)],
        crew=crew,
        calendars=(*plan.calendars, part),
    )


def _open_status(choose: Chooser, project: Project) -> TaskStatus:
    """Return the status of a task that needs its people yet, or one that is held for long."""
    if choose.chance(70) or project.as_of < project.start:
        return TaskStatus()
    if choose.chance(60):
        return TaskStatus(State.IN_WORK, started=project.start)
    until = project.as_of + timedelta(days=3) if choose.chance(50) else None
    return TaskStatus(State.HELD, held_until=until)


@st.composite
def mixed_crews(draw: st.DrawFn) -> Plan:
    """Few people with several trades, who come when they like: seldom one for every task."""
    plan = without_holidays(draw(plans(min_tasks=4, max_tasks=10, max_send_outs=0)))
    choose = Chooser(draw)
    half = Calendar("half", week_hours=(4.0, 4.0, 8.0, 0.0, 4.0, 0.0, 8.0))
    tasks = tuple(
        replace(
            task,
            trade=choose.one_of(TRADES),
            people=choose.number(1, 2),
            duration=choose.eighths(1, 6),
            calendar=choose.one_of((None, "odd", "half", "elapsed")),
            milestone=None,
            status=_open_status(choose, plan.project),
        )
        for task in plan.tasks
    )
    crew = []
    for label in ("Ann", "Bo", "Cy"):
        calendar = choose.one_of(("shop", "odd", "half", "elapsed"))
        trades = {choose.one_of(TRADES) for _ in range(choose.number(1, 2))}
        crew += [Crew(trade, 1, calendar, label=label) for trade in sorted(trades)]
    return replace(
        plan,
        tasks=tasks,
        links=plan.links[: choose.number(0, 3)],
        calendars=(*plan.calendars, half),
        crew=tuple(crew),
    )
