"""What-if cases about work: days of tasks, waits, risks, hands, and when trades work."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribstitch.planning.errors import InvalidValueError, PlanError, UnknownReferenceError
from ribstitch.planning.model import (
    Calendar,
    Crew,
    CrewLink,
    Milestone,
    Plan,
    Risk,
    SendOut,
    SendOutStatus,
    Vendor,
    Zone,
)
from ribstitch.planning.schedule import schedule
from ribstitch.planning.whatif import (
    Change,
    OneMoreHand,
    RiskSettled,
    TaskNotBefore,
    TaskTakes,
    TradeAway,
    TradeDays,
    TradeSlower,
    WaitDropped,
    ZoneSlower,
    apply_changes,
)
from tests.core.making import MONDAY, SHOP, link, plan, status, task, ticks

FRIDAY = date(2026, 1, 9)
NEXT_MONDAY = date(2026, 1, 12)
SATURDAY = date(2026, 1, 10)
WORK = Calendar(id="work")


def finish(made: Plan, *changes: Change) -> str:
    """Return the finish date of a case as month and day."""
    return f"{apply_changes(made, changes).schedule().finish_on:%m-%d}"


def shop(*, days: float = 5) -> Plan:
    """Return three metal tasks of a week that one metalworker does one after another."""
    return plan(
        [task(name, days, trade="metal", zone="wing") for name in "ABC"],
        zones=[Zone("wing"), Zone("tail")],
        crew=[Crew("metal", 1)],
        crew_links=[CrewLink("A", "B", names=("metal",)), CrewLink("B", "C", names=("metal",))],
    )


# --- Tasks -----------------------------------------------------------------------------


def test_a_task_takes_the_days_that_are_said_and_its_range_in_the_same_measure() -> None:
    made = plan([task("A", 4, duration_range=(ticks(3), ticks(4), ticks(8)))])
    (changed,) = apply_changes(made, [TaskTakes("A", 6)]).plan.tasks
    assert (changed.duration, changed.duration_range) == (
        ticks(6),
        (ticks(4.5), ticks(6), ticks(12)),
    )
    assert finish(made, TaskTakes("A", 6)) == "01-12"


def test_what_is_left_of_work_in_hand_changes_in_the_same_measure() -> None:
    made = plan([task("A", 4, status=status("in_work", 1, started=MONDAY))], as_of=FRIDAY)
    (changed,) = apply_changes(made, [TaskTakes("A", 8)]).plan.tasks
    assert changed.status.remaining == ticks(2)
    assert finish(made, TaskTakes("A", 8)) == "01-12"


def test_a_task_without_days_is_given_some() -> None:
    assert finish(plan([task("A", 0), task("B", 1)]), TaskTakes("A", 3)) == "01-07"


def test_a_task_does_not_start_before_a_date() -> None:
    assert finish(plan([task("A", 2)]), TaskNotBefore("A", FRIDAY)) == "01-12"


def test_a_task_that_does_not_wait_begins_beside_the_other() -> None:
    made = plan([task("A", 3), task("B", 2)], [link("A", "B"), link("A", "B", "SS")])
    assert finish(made) == "01-09"
    assert finish(made, WaitDropped("B", "A")) == "01-07"


def test_not_waiting_goes_for_the_order_of_the_crew_too() -> None:
    assert apply_changes(shop(), [WaitDropped("B", "A")]).plan.crew_links == (
        CrewLink("B", "C", names=("metal",)),
    )


@pytest.mark.parametrize("change", [TradeSlower("metal", 50), ZoneSlower("wing", 50)])
def test_slow_work_takes_longer_where_it_is_open(change: Change) -> None:
    made = shop(days=2)
    done = status("done", finished=MONDAY)
    made = replace(made, tasks=(replace(made.tasks[0], status=done), *made.tasks[1:]))
    case = apply_changes(made, [change]).plan
    assert [one.duration for one in case.tasks] == [ticks(2), ticks(3), ticks(3)]


def test_waiting_in_a_slow_zone_takes_as_long_as_before() -> None:
    made = plan([task("cure", 2, zone="wing")], zones=[Zone("wing")])
    assert apply_changes(made, [ZoneSlower("wing", 50)]).plan == made


# --- Risks -----------------------------------------------------------------------------


def risky(**fields: object) -> Plan:
    """Return a task of two days that may take three more."""
    return plan(
        [task("A", 2, **fields)],
        risks=[Risk("R", task="A", probability=0.5, impact=ticks(3))],
    )


def test_a_risk_that_strikes_is_work_in_the_plan_and_one_that_does_not_is_settled() -> None:
    for strikes, expected in ((True, "01-09"), (False, "01-06")):
        case = apply_changes(risky(), [RiskSettled("R", strikes)]).plan
        assert case.risks[0].closed
        assert finish(risky(), RiskSettled("R", strikes)) == expected


def test_a_risk_that_strikes_widens_the_range_by_its_own() -> None:
    made = risky(duration_range=(ticks(1), ticks(2), ticks(4)))
    risk = replace(made.risks[0], impact_range=(ticks(2), ticks(3), ticks(6)))
    (changed,) = apply_changes(replace(made, risks=(risk,)), [RiskSettled("R", True)]).plan.tasks
    assert changed.duration_range == (ticks(3), ticks(5), ticks(10))


def at_vendor(known: SendOutStatus = SendOutStatus()) -> Plan:  # noqa: B008 - frozen
    """Return an item that is away for two weeks, and may be for one more."""
    item = SendOut("S", "V", before=("A",), lead=ticks(10), status=known)
    return plan(
        [task("A", 1)],
        vendors=[Vendor("V")],
        send_outs=[item],
        risks=[Risk("R", send_out="S", probability=0.5, impact=ticks(5))],
    )


def test_a_risk_at_a_vendor_makes_the_vendors_work_longer() -> None:
    assert finish(at_vendor()) == "01-19"
    assert finish(at_vendor(), RiskSettled("R", True)) == "01-26"


# --- Trades ----------------------------------------------------------------------------


def test_what_a_trade_has_begun_rests_while_it_is_away() -> None:
    made = plan([task("A", 5, trade="metal")], crew=[Crew("metal", 1)])
    away = TradeAway("metal", date(2026, 1, 7), date(2026, 1, 8))
    assert (finish(made), finish(made, away)) == ("01-09", "01-13")


def test_a_trade_that_is_away_does_not_come_on_a_day_that_was_opened() -> None:
    calendar = replace(SHOP, opened=((SATURDAY, 8.0),))
    made = plan([task("A", 6, trade="metal")], crew=[Crew("metal", 1)], calendars=[calendar])
    assert finish(made) == "01-10"
    assert finish(made, TradeAway("metal", SATURDAY, SATURDAY)) == "01-12"


def test_days_of_a_trade_are_days_of_nobody_else() -> None:
    made = plan(
        [task("A", 6, trade="metal"), task("B", 6, trade="wood"), task("C", 6)],
        crew=[Crew("metal", 1), Crew("wood", 1)],
    )
    case = apply_changes(made, [TradeDays("metal", 5, MONDAY, date(2026, 1, 31))])
    (old, new), found = case.plan.calendars, case.schedule()
    assert old == SHOP
    assert {day for day, _ in new.opened} == {date(2026, 1, day) for day in (10, 17, 24, 31)}
    assert [f"{found.finish_on_of(number):%m-%d}" for number in range(3)] == [
        "01-10", "01-12", "01-12",
    ]  # fmt: skip
    assert [one.calendar for one in case.plan.crew] == [new.id, None]


def test_a_calendar_that_is_the_trades_alone_is_changed_itself() -> None:
    made = plan(
        [task("A", 6, trade="metal", calendar="work")],
        crew=[Crew("metal", 1, "work")],
        calendars=[SHOP, WORK],
    )
    case = apply_changes(made, [TradeDays("metal", 5, MONDAY, SATURDAY)]).plan
    assert [one.id for one in case.calendars] == ["shop", "work"]
    assert case.tasks == made.tasks


def test_a_second_change_of_a_trade_makes_no_second_copy() -> None:
    made = plan([task("A", 6, trade="metal")], crew=[Crew("metal", 1)])
    changes = [TradeDays("metal", day, MONDAY, date(2026, 1, 11)) for day in (5, 6)]
    case = apply_changes(made, changes).plan
    assert [one.id for one in case.calendars] == ["shop", "shop-metal"]


# --- One more hand ---------------------------------------------------------------------


def test_one_more_hand_takes_over_what_waits_and_hands_on() -> None:
    """A and B side by side in the first week, C in the second: two weeks in place of three."""
    assert finish(shop()) == "01-23"
    assert finish(shop(), OneMoreHand("metal", MONDAY)) == "01-16"


def test_a_hand_who_comes_later_takes_over_only_what_is_left() -> None:
    """B runs in the second week as before, and C beside it."""
    begun = apply_changes(shop(), [OneMoreHand("metal", NEXT_MONDAY)])
    assert f"{begun.schedule().finish_on:%m-%d}" == "01-16"
    assert begun.schedule().number("B") == 1
    assert finish(shop(), OneMoreHand("metal", date(2026, 1, 21))) == "01-23"


def test_a_long_row_is_shared_by_two() -> None:
    """Forty days of one hand, one after another, are twenty days of two."""
    names = [f"T{number}" for number in range(40)]
    made = plan(
        [task(name, 1, trade="metal") for name in names],
        crew=[Crew("metal", 1)],
        crew_links=[CrewLink(a, b, names=("metal",)) for a, b in pairwise(names)],
    )
    assert (finish(made), finish(made, OneMoreHand("metal", MONDAY))) == ("02-27", "01-30")


def test_who_comes_on_top_is_not_there_before_and_costs_what_the_others_do() -> None:
    paid = replace(shop(), crew=(Crew("metal", 3, label="Metalworkers", rate=Decimal(40)),))
    case = apply_changes(paid, [OneMoreHand("metal", NEXT_MONDAY)]).plan
    new = case.calendars[-1]
    assert case.crew == (*paid.crew, Crew("metal", 1, new.id, rate=Decimal(40)))
    assert new.closed == ((MONDAY, date(2026, 1, 11)),)


def test_a_hand_of_another_trade_takes_nothing_over() -> None:
    made = replace(shop(), crew=(Crew("metal", 1), Crew("wood", 1)))
    assert apply_changes(made, [OneMoreHand("wood", MONDAY)]).plan.crew_links == made.crew_links


@settings(max_examples=25, deadline=None)
@given(
    days=st.lists(st.integers(1, 6), min_size=3, max_size=7),
    ties=st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=5),
    comes=st.integers(0, 20),
)
def test_with_one_more_hand_nobody_begins_later_and_no_more_work_at_once_than_hands(
    days: list[int], ties: list[tuple[int, int]], comes: int
) -> None:
    """Held against a count of who works on each date, which knows nothing of crew links."""
    names = [f"T{number}" for number in range(len(days))]
    made = plan(
        [task(name, length, trade="metal") for name, length in zip(names, days, strict=True)],
        [link(names[a], names[b]) for a, b in set(ties) if a < b < len(names)],
        crew=[Crew("metal", 1)],
        crew_links=[CrewLink(a, b, names=("metal",)) for a, b in pairwise(names)],
    )
    first = date.fromordinal(MONDAY.toordinal() + comes)
    before = schedule(made)
    after = apply_changes(made, [OneMoreHand("metal", first)]).schedule()
    for number in range(len(names)):
        assert after.begin[number] <= before.begin[number]
    spans = [(after.begin[number], after.finish[number]) for number in range(len(names))]
    for begin, _ in spans:
        at_work = sum(one <= begin < end for one, end in spans)
        assert at_work <= (2 if begin >= first.toordinal() * 1440 else 1)


# --- Refusals --------------------------------------------------------------------------

DONE = plan([task("A", 1, trade="metal", status=status("done", finished=MONDAY))])
BEGUN = plan([task("A", 2, status=status("in_work", started=MONDAY))])
SETTLED = replace(risky(), risks=(Risk("R", task="A", closed=True),))
PROMISED = at_vendor(SendOutStatus(promised=date(2026, 2, 2)))
LEFT = at_vendor(SendOutStatus(left_vendor=MONDAY))


@pytest.mark.parametrize(
    ("made", "change", "where", "reason"),
    [
        (shop(), TaskTakes("X", 1), "task", 'there is no task "X" in the plan'),
        (shop(), TaskTakes("A", 0), "days", "0 is not between 0 and 3660 days"),
        (shop(), TaskTakes("A", float("nan")), "days", "nan is not between 0 and 3660 days"),
        (DONE, TaskTakes("A", 1), "task", '"A" is done already'),
        (
            plan([task("A", 0, milestone=Milestone.FINISH)]),
            TaskTakes("A", 1),
            "task",
            '"A" is a milestone',
        ),
        (BEGUN, TaskNotBefore("A", FRIDAY), "task", '"A" has begun already'),
        (DONE, TaskNotBefore("A", FRIDAY), "task", '"A" is done already'),
        (
            shop(),
            TaskNotBefore("A", date(9999, 1, 1)),
            "on",
            "9999-01-01 is not between the years 1900 and 2199",
        ),
        (shop(), WaitDropped("A", "X"), "before", 'there is no task "X" in the plan'),
        (shop(), WaitDropped("A", "C"), "before", '"A" does not wait for "C"'),
        (shop(), RiskSettled("X", True), "risk", 'there is no risk "X" in the plan'),
        (SETTLED, RiskSettled("R", True), "risk", '"R" is settled already'),
        (
            replace(DONE, risks=(Risk("R", task="A"),)),
            RiskSettled("R", True),
            "risk",
            '"A" is done already',
        ),
        (
            PROMISED,
            RiskSettled("R", True),
            "risk",
            'a date is promised for "S": say how late it comes instead',
        ),
        (LEFT, RiskSettled("R", True), "risk", 'the vendor\'s work on "S" is over'),
        (shop(), TradeSlower("X", 5), "trade", 'there is no trade "X" in the plan'),
        (shop(), ZoneSlower("X", 5), "zone", 'there is no zone "X" in the plan'),
        (
            shop(),
            TradeSlower("metal", -95),
            "percent",
            "-95 is not between -90 and 900 percent",
        ),
        (shop(), TradeAway("X", MONDAY, FRIDAY), "trade", 'there is no trade "X" in the plan'),
        (
            DONE,
            TradeAway("metal", MONDAY, FRIDAY),
            "trade",
            '"metal" has neither people nor work that is open',
        ),
        (
            shop(),
            TradeAway("metal", FRIDAY, MONDAY),
            "last",
            "the last day (2026-01-05) is before the first (2026-01-09)",
        ),
        (shop(), TradeDays("metal", 7, MONDAY, FRIDAY), "weekday", "7 is not between 0 and 6"),
        (shop(), OneMoreHand("X", MONDAY), "trade", 'there is no trade "X" in the plan'),
        (
            shop(),
            OneMoreHand("metal", date(1800, 1, 1)),
            "first",
            "1800-01-01 is not between the years 1900 and 2199",
        ),
    ],
)
def test_changes_of_work_that_cannot_be_made_are_refused(
    made: Plan, change: Change, where: str, reason: str
) -> None:
    with pytest.raises(PlanError) as caught:
        apply_changes(made, [change])
    assert isinstance(caught.value, UnknownReferenceError | InvalidValueError)
    assert str(caught.value) == f"changes[0].{where}: {reason}"
