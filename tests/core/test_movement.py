"""What moved finish and cost from one plan to another, by hand; and that it adds up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import pairwise

from hypothesis import given

from ribstitch.money import forecast_of, ledger_of
from ribstitch.money.moved_causes import CauseKind
from ribstitch.money.movement import SinceApproval, movement, since_approval
from ribstitch.planning.model import (
    Baseline,
    Calendar,
    Cost,
    Crew,
    HoursWorked,
    Milestone,
    Origin,
    Package,
    Plan,
    SendOut,
    SendOutStatus,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.costed import costed, line
from tests.core.making import link, status, task
from tests.property.money_strategies import costed_plans
from tests.property.settings import examples

EARLIER, LATER = date(2026, 3, 2), date(2026, 3, 9)
"""Two Mondays."""
VENDOR = Vendor("V1")


def away(lead: int, **fields: object) -> SendOut:
    """Return an item that is away for so many working days, before task B."""
    return SendOut("S1", "V1", lead=lead * TICKS_PER_DAY, before=("B",), **fields)  # type: ignore[arg-type]


def shop(*costs: Cost, as_of: date = EARLIER, **fields: object) -> Plan:
    """Return two tasks in a row, 5 days each at 48 an hour, and an item that B waits for."""
    given_fields = {
        "tasks": [task("A", 5, trade="metal"), task("B", 5, trade="metal")],
        "links": [link("A", "B")],
        "vendors": [VENDOR],
        "send_outs": [away(3)],
        "start": EARLIER,
    }
    return costed(*costs, as_of=as_of, **{**given_fields, **fields})  # type: ignore[arg-type]


def steps(then: Plan, now: Plan) -> dict[str, tuple[int, int]]:
    """Return the days and cents of each step by the names of its causes, where they moved some."""
    found = movement(schedule(then), schedule(now))
    return {
        " ".join(one.name for one in step.causes): (step.days, step.cost) for step in found.steps
    }


def test_each_kind_of_change_is_told_by_itself() -> None:
    """
    By hand, from A on 2 to 6 March and B on 9 to 13 March.

    As of 9 March A has 2 days left: B ends on 17 March, 4 days later. The item is away for 10
    days: B ends on 20 March, 7 later; both together 7 later as well. So A has (4 + 0) / 2 and
    the item (7 + 3) / 2. B is told after both; its sixth day is a Monday, 3 days later. The
    item has not left by 9 March, which makes it the 30th: 7 days of time that passed.

    3 days of A took 30 h, not 24, so A is 46 h; B is 48 h; an hour is 50.00, no longer 48.00.
    The rate comes before A in 3 of 8 orders and before B in 6 of 8: A has 6 x 48.75, B has
    8 x 49.50, the rate has 80 x 2.00 + 6 x 2.00 x 5/8 + 8 x 2.00 x 1/4. Nuts and bolts for
    12.50 are new.
    """
    done = status("in_work", 2, started=EARLIER)
    now = shop(
        line("12.50"),
        as_of=LATER,
        tasks=[task("A", 5, trade="metal", status=done), task("B", 6, trade="metal")],
        send_outs=[away(10)],
        crew=[Crew("metal", rate=Decimal(50))],
        hours=[HoursWorked(f"H{day}", "A", date(2026, 3, day), Decimal(15)) for day in (2, 3)],
    )
    assert steps(shop(), now) == {
        "time:": (7, 0),
        "item:S1": (5, 0),
        "task:B": (3, 396_00),
        "task:A": (2, 292_50),
        "hands:": (0, 171_50),
        "prices:": (0, 12_50),
    }


def test_a_closed_week_is_told_with_people_and_calendars() -> None:
    closed = Calendar("shop", closed=((date(2026, 3, 9), date(2026, 3, 13)),))
    assert steps(shop(), shop(calendars=[closed])) == {"hands:": (7, 0)}


def test_dropped_work_is_told_by_its_name_and_not_as_time() -> None:
    dropped = task("B", 5, trade="metal", status=status("dropped"))
    now = shop(tasks=[task("A", 5, trade="metal"), dropped])
    assert steps(shop(), now) == {"task:B": (-7, -1920_00)}


def test_a_finding_is_told_with_the_work_the_links_and_the_costs_that_came_of_it() -> None:
    """By hand: 5 days between A and B, 40 h x 48.00, and 25.00 for material; rent is 350.00."""
    a, b = task("A", 5, trade="metal"), task("B", 5, trade="metal")
    found = task("C", 5, trade="metal", origin=Origin("F1", finding="F1"))
    now = shop(
        line("25.00", task="C"),
        line("350.00"),
        tasks=[a, b, found],
        links=[link("A", "B"), link("A", "C"), link("C", "B")],
    )
    assert steps(shop(), now) == {"finding:F1": (7, 1945_00), "prices:": (0, 350_00)}


def test_work_that_went_as_planned_moves_nothing() -> None:
    done = status("done", started=EARLIER, finished=date(2026, 3, 6))
    shipped = SendOutStatus(shipped=EARLIER, left_vendor=date(2026, 3, 4))
    now = shop(
        as_of=LATER,
        tasks=[task("A", 5, trade="metal", status=done), task("B", 5, trade="metal")],
        send_outs=[away(3, status=shipped)],
    )
    assert steps(shop(), now) == {}


def test_who_waited_for_what_came_late_is_not_blamed() -> None:
    """A took a week longer, and B, which waited for it, began and ends a week later."""
    tasks = [
        task("A", 5, status=status("done", started=EARLIER, finished=date(2026, 3, 13))),
        task("B", 5, status=status("in_work", 2, started=date(2026, 3, 16))),
    ]
    then = shop(tasks=[task("A", 5), task("B", 5)], send_outs=[])
    now = shop(tasks=tasks, send_outs=[], as_of=date(2026, 3, 19))
    assert steps(then, now) == {"task:A": (7, 0)}


def test_an_item_that_is_not_back_is_told_by_its_name_though_nobody_told_of_it() -> None:
    """Away from 2 March for 3 days, then B for 5 days; as of 16 March it is still away."""
    out = [away(3, prepare=TICKS_PER_DAY, status=SendOutStatus(shipped=EARLIER))]
    then = shop(tasks=[task("B", 5)], links=[], send_outs=out)
    now = replace(then, project=replace(then.project, as_of=date(2026, 3, 16)))
    assert list(steps(then, now)) == ["item:S1"]


def test_work_that_nobody_began_is_time_that_passed() -> None:
    assert steps(shop(), shop(as_of=LATER)) == {"time:": (7, 0)}


def test_small_causes_are_told_together() -> None:
    """Nine tasks in a row, each a day longer; the sum is told, whatever is told by itself."""
    names = [f"T{number}" for number in range(9)]
    links = [link(a, b) for a, b in pairwise(names)]
    then, now = (
        shop(tasks=[task(one, days) for one in names], links=links, send_outs=[]) for days in (1, 2)
    )
    found = movement(schedule(then), schedule(now))
    assert (len(found.steps), found.others is not None, found.is_exact) == (7, True, False)
    assert found.others is not None
    days = sum(one.days for one in (*found.steps, found.others))
    assert days == (schedule(now).finish_on - schedule(then).finish_on).days == 13


def test_causes_that_move_nothing_leave_the_others_exact() -> None:
    """Nine tasks with float are each a day longer; the one that ends last is 2 days longer."""
    names = [f"T{number}" for number in range(9)]
    then, now = (
        shop(
            tasks=[task("A", longest), *(task(one, days) for one in names)], links=[], send_outs=[]
        )
        for longest, days in ((5, 1), (7, 2))
    )
    found = movement(schedule(then), schedule(now))
    assert found.is_exact
    assert [(one.causes[0].id, one.days) for one in found.steps] == [("A", 4)]


@given(costed_plans(), costed_plans())
@examples(25)
def test_steps_between_any_two_plans_add_up_to_the_whole(then: Plan, now: Plan) -> None:
    """Each whole is reckoned from its own plan alone."""
    then = replace(then, project=replace(then.project, currency=now.project.currency))
    ends = [schedule(then), schedule(now)]
    costs = [forecast_of(one.prepared.plan, ledger_of(one)).whole.at_completion for one in ends]
    found = movement(*ends)
    told = [*found.steps, *([] if found.others is None else [found.others])]
    assert sum(one.days for one in told) == (ends[1].finish_on - ends[0].finish_on).days
    assert sum(one.cost for one in told) == costs[1] - costs[0]
    names = [cause for one in told for cause in one.causes]
    assert len(names) == len(set(names))
    assert {cause.kind for cause in names} <= set(CauseKind)
    assert movement(ends[0], ends[0]).steps == ()


def test_since_approval_work_that_came_later_is_told_from_all_else() -> None:
    """
    By hand: approved for 11 March; without C the plan ends on 13 March, with it on 18 March.

    A milestone, and what is done or dropped, are no work that came later.
    """
    approved = Baseline(
        "first",
        EARLIER,
        date(2026, 3, 11),
        packages=tuple(Package(one, Decimal(1), EARLIER, EARLIER) for one in ("A", "B", "S1")),
    )
    over = status("done", started=EARLIER, finished=EARLIER)
    now = shop(
        tasks=[
            task("A", 5),
            task("B", 5),
            task("C", 3),
            task("D", 1, status=over),
            task("E", 9, status=status("dropped")),
            task("F", 0, milestone=Milestone.FINISH),
        ],
        links=[link("A", "B"), link("B", "C"), link("C", "F")],
    )
    assert since_approval(schedule(now), approved) == SinceApproval(1, 5, 2)
