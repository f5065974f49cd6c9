"""What moved finish and cost from one plan to another, by hand; and that it adds up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given

from ribstitch.money import forecast_of, ledger_of
from ribstitch.money.movement import Cause, SinceApproval, Step, movement, since_approval
from ribstitch.planning.model import (
    Baseline,
    Calendar,
    Cost,
    Crew,
    HoursWorked,
    Milestone,
    Package,
    Plan,
    SendOut,
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


def steps(then: Plan, now: Plan) -> dict[Cause, tuple[int, int]]:
    """Return the days and cents of each step that moved something and stands by itself."""
    found = movement(schedule(then), schedule(now))
    return {one.causes[0]: (one.days, one.cost) for one in found if one.days or one.cost}


def test_each_kind_of_change_is_told_by_itself() -> None:
    """
    By hand, from A on 2 to 6 March and B on 9 to 13 March.

    As of 9 March A has 2 days left, and the item has not left: it is back on 11 March, B runs
    from 12 to 18 March, 5 days later. The 3 days of A that are done took 30 h, not 24: 6 x
    48.00 more. The item is away for 10 days, until 20 March: B runs from 23 to 27 March, 9
    days later. B takes 6 days: 30 March, 3 days later, and 8 h x 48.00 more. Its people get
    50.00 an hour: 30 h done and 16 + 48 h to go, x 2.00. Nuts and bolts for 12.50 are new.
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
        Cause.PROGRESS: (5, 288_00),
        Cause.AWAY: (9, 0),
        Cause.WORK: (3, 384_00),
        Cause.HANDS: (0, 188_00),
        Cause.PRICES: (0, 12_50),
    }


def test_a_closed_week_is_told_with_people_and_calendars() -> None:
    closed = Calendar("shop", closed=((date(2026, 3, 9), date(2026, 3, 13)),))
    assert steps(shop(), shop(calendars=[closed])) == {Cause.HANDS: (7, 0)}


def test_dropped_work_is_told_as_work_and_not_as_progress() -> None:
    dropped = task("B", 5, trade="metal", status=status("dropped"))
    now = shop(tasks=[task("A", 5, trade="metal"), dropped])
    assert steps(shop(), now) == {Cause.WORK: (-7, -1920_00)}


def test_work_that_came_is_told_with_its_cost_lines_and_other_lines_by_themselves() -> None:
    """By hand: 5 days of C are 40 h x 48.00, and 25.00 for what it takes; rent is 350.00."""
    tasks = [task("A", 5, trade="metal"), task("B", 5, trade="metal"), task("C", 5, trade="metal")]
    now = shop(line("25.00", task="C"), line("350.00"), tasks=tasks)
    assert steps(shop(), now) == {Cause.WORK: (0, 1945_00), Cause.PRICES: (0, 350_00)}


def test_what_cannot_stand_by_itself_is_told_with_what_follows() -> None:
    """The item waits for a task that came with it: 5 days of C, then 3 away, then B."""
    now = shop(
        tasks=[task("A", 5), task("B", 5, trade="metal"), task("C", 5)],
        send_outs=[away(3, after=("C",))],
    )
    then = shop(tasks=[task("A", 5), task("B", 5, trade="metal")])
    found = [one for one in movement(schedule(then), schedule(now)) if one.days]
    assert found == [Step((Cause.AWAY, Cause.WORK), 5, 0)]


@given(costed_plans(), costed_plans())
@examples(30)
def test_steps_between_any_two_plans_add_up_to_the_whole(then: Plan, now: Plan) -> None:
    """Each whole is reckoned from its own plan alone."""
    then = replace(then, project=replace(then.project, currency=now.project.currency))
    ends = [schedule(then), schedule(now)]
    costs = [forecast_of(one.prepared.plan, ledger_of(one)).whole.at_completion for one in ends]
    found = movement(*ends)
    assert sum(one.days for one in found) == (ends[1].finish_on - ends[0].finish_on).days
    assert sum(one.cost for one in found) == costs[1] - costs[0]
    assert [cause for one in found for cause in one.causes] == list(Cause)


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
