"""Pulling in by hand: odd chains, calendars, promises, money, time running out, refusals."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import partial
from itertools import chain, repeat
from typing import Any

import pytest

from ribstitch.planning import pulling_in
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    CrewLink,
    ExchangeRate,
    Expedite,
    LagOn,
    Plan,
    SendOut,
    SendOutStatus,
    Vendor,
)
from ribstitch.planning.pulling_in import DisagreementError, PulledIn, cost_of_all, puller
from ribstitch.planning.schedule import schedule
from ribstitch.planning.whatif import Case, ExpediteTaken, apply_changes
from tests.core.making import MONDAY, link, plan, status, task, ticks

cheapest = partial(pulling_in.cheapest, seconds=60, clock=time.monotonic)
soonest_for = partial(pulling_in.soonest_for, seconds=60, clock=time.monotonic)
cost_curve = partial(pulling_in.cost_curve, seconds=60, clock=time.monotonic)


def by_the_day(name: str, days: float, cost: float, **fields: Any) -> Expedite:
    """Return an expedite of the task of this name, bought by the day."""
    given: dict[str, Any] = {"task": name, "by_the_day": True, **fields}
    return Expedite(f"X-{name}", ticks(days), Decimal(str(cost)), **given)


def all_of(name: str, days: float, cost: float, **fields: Any) -> Expedite:
    """Return an expedite of the task of this name, all or nothing."""
    return by_the_day(name, days, cost, by_the_day=False, **fields)


def points(found: tuple[PulledIn, ...]) -> list[tuple[str, Any]]:
    """Return a curve as dates (month and day) and costs."""
    return [(f"{one.finish_on:%m-%d}", one.cost) for one in found]


def day(number: int) -> date:
    """Return the date so many days after Monday 5 January 2026."""
    return MONDAY + timedelta(days=number)


def elapsed(tasks: Any, links: Any, expedites: Any, **fields: Any) -> Plan:
    """Return a plan whose days are dates."""
    return plan(tasks, links, calendar="elapsed", expedites=expedites, **fields)


def held_by_its_finish() -> Plan:
    """
    A (10 days) holds B (4) by its finish, and C (9) begins with B.

    B ends on day 10 and begins on day 6; C runs from day 6 to day 15. With two days less,
    B begins on day 8, and the project is finished two days later.
    """
    return elapsed(
        [task("A", 10), task("B", 4), task("C", 9)],
        [link("A", "B", "FF"), link("B", "C", "SS")],
        [by_the_day("B", 2, 5), by_the_day("A", 3, 100), all_of("C", 4, 250)],
    )


def test_shorter_work_that_would_begin_later_is_left_alone() -> None:
    """Days off A cost 100 each, four off C 250; taking B as well makes it worse."""
    assert points(cost_curve(held_by_its_finish())) == [
        ("01-19", 0), ("01-18", 100), ("01-17", 200), ("01-15", 250), ("01-14", 350),
        ("01-13", 450), ("01-12", 550),
    ]  # fmt: skip


def test_taking_everything_is_not_always_the_earliest() -> None:
    """Seven days of A let B end on day 7: of two days it begins on day 5, of four on day 3; then
    the five days of C end on day 10 or on day 8."""
    made = held_by_its_finish()
    everything = apply_changes(made, [ExpediteTaken(one.id)
                                      for one in made.expedites])  # fmt: skip
    assert everything.schedule().finish_on == day(9)
    assert cost_curve(made)[-1].finish_on == day(7)
    assert cost_of_all(made) == 560


def test_days_are_those_of_each_calendar() -> None:
    """
    A (shop) Mon-Fri 5 days, B (elapsed) 3: Sat to Mon 12th, C (shop) 1: Tue 13th.

    A day off A: B runs Fri to Sun, C on Monday 12th. A day off B: Sat, Sun, C on Monday.
    Two days off A: B Thu to Sat, C on Monday all the same. With three days off A, B runs
    Wed to Fri and C stays on Monday; three off A and one off B: B Wed, Thu, C on Friday 9th.
    """
    made = plan(
        [task("A", 5), task("B", 3, calendar="elapsed"), task("C", 1)],
        [link("A", "B"), link("B", "C")],
        expedites=[by_the_day("A", 3, 70), by_the_day("B", 1, 100)],
    )
    assert points(cost_curve(made)) == [("01-13", 0), ("01-12", 70), ("01-09", 310)]


def test_lags_count_on_their_calendars() -> None:
    """
    A (shop) 5 days, two elapsed days, B (elapsed) 1, one working day, C (shop) 1.

    As planned: A to Fri 9th, B on Mon 12th, wait Tue, C on Wed 14th. A to Thu: B on Sun, wait
    Mon, C on Tue 13th. A to Wed or Tue: B on Sat or Fri, wait Mon, C on Tue. A on Mon 5th only:
    B on Thu 8th, wait Fri, C on Mon 12th.
    """
    made = plan(
        [task("A", 5), task("B", 1, calendar="elapsed"), task("C", 1)],
        [link("A", "B", lag=2, on=LagOn.ELAPSED), link("B", "C", lag=1)],
        expedites=[by_the_day("A", 4, 70)],
    )
    assert points(cost_curve(made)) == [("01-14", 0), ("01-13", 70), ("01-12", 280)]


def test_an_eighth_of_a_day_is_left_of_what_several_expedites_shorten() -> None:
    """Of three days 2.875 can go: Z (3 days) ends on day 5, or after 3.125 days on day 4."""
    made = elapsed(
        [task("A", 3), task("Z", 3)],
        [link("A", "Z")],
        [all_of("A", 1, 10), replace(all_of("A", 5, 50), id="Y")],
    )
    assert points(cost_curve(made)) == [("01-10", 0), ("01-09", 10), ("01-08", 50)]


def test_a_promise_is_brought_forward() -> None:
    """Promised for Wed 14 January; three days earlier is Fri 9th, and Z follows on Mon 12th."""
    item = SendOut("S", "V", before=("Z",), lead=ticks(50),
                   status=SendOutStatus(promised=day(9)))  # fmt: skip
    fee = Expedite("X", ticks(3), Decimal(40), send_out="S", by_the_day=True)
    made = plan([task("Z", 1)], vendors=[Vendor("V")], send_outs=[item], expedites=[fee])
    assert points(cost_curve(made)) == [
        ("01-15", 0), ("01-14", 40), ("01-13", 80), ("01-12", 120),
    ]  # fmt: skip


def test_the_order_of_the_crew_stays_as_it_is() -> None:
    """A and B (3 days each) go one after the other for want of hands."""
    made = elapsed([task("A", 3), task("B", 3)], [], [by_the_day("A", 2, 10)])
    assert points(cost_curve(made)) == [("01-07", 0)]
    crew = replace(made, crew_links=(CrewLink("A", "B"),))
    assert points(cost_curve(crew)) == [("01-10", 0), ("01-09", 10), ("01-08", 20)]


def test_of_work_begun_what_remains_can_be_shortened() -> None:
    """Six days remain from Friday 9th on; the floor does not move."""
    begun = task("A", 9, status=status("in_work", 6, started=MONDAY))
    made = elapsed([begun], [], [by_the_day("A", 2, 10)], as_of=day(4))
    assert points(cost_curve(made)) == [("01-14", 0), ("01-13", 10), ("01-12", 20)]


def test_nothing_finishes_before_the_as_of_date() -> None:
    """Of A nothing remains to be worked, but it is not done: it stands on Friday 9th."""
    begun = task("A", 9, status=status("in_work", 0, started=MONDAY))
    made = elapsed([begun], [], [by_the_day("A", 2, 10)], as_of=day(4))
    assert points(cost_curve(made)) == [("01-09", 0)]
    with pytest.raises(InvalidValueError, match="no expedite moves the finish before 2026-01-09"):
        cheapest(made, day(3))


def test_foreign_money_counts_at_the_rate_of_the_as_of_date() -> None:
    """100 GBP are 116 EUR on 5 January; overtime for 117 is dearer, the later rate unknown."""
    rates = [ExchangeRate("GBP", date(2025, 1, 1), Decimal("1.2")),
             ExchangeRate("GBP", date(2026, 1, 1), Decimal("1.16")),
             ExchangeRate("GBP", date(2026, 2, 1), Decimal("1.3"))]  # fmt: skip
    expedites = [all_of("A", 1, 117), all_of("A", 1, 100, currency="GBP")]
    made = elapsed([task("A", 5)], [], [expedites[0], replace(expedites[1], id="Y")],
                   exchange_rates=rates)  # fmt: skip
    found = cheapest(made, day(3))
    assert (found.cost, [one.expedite for one in found.taken]) == (Decimal(116), ["Y"])


def test_money_is_exact_to_the_last_place() -> None:
    """Three times 0.1 are 0.3, and not a binary fraction near it."""
    made = elapsed([task("A", 9)], [], [by_the_day("A", 3, 0.1)])
    assert str(cheapest(made, day(5)).cost) == "0.3"


def test_free_expedites_that_nothing_needs_are_not_taken() -> None:
    made = elapsed([task("A", 9), task("B", 2)], [], [by_the_day("A", 3, 0), by_the_day("B", 1, 0)])
    found = cheapest(made, day(7))
    assert [(one.expedite, one.days) for one in found.taken] == [("X-A", 1)]
    assert points(cost_curve(made)) == [("01-13", 0), ("01-10", 0)]


def test_a_curve_of_few_points_ends_where_the_whole_one_ends() -> None:
    made = elapsed([task("A", 30)], [], [by_the_day("A", 25, 3)])
    assert len(cost_curve(made)) == 26
    few = cost_curve(made, most_points=5)
    assert points(few) == [
        ("02-03", 0), ("01-27", 21), ("01-20", 42), ("01-13", 63), ("01-09", 75),
    ]  # fmt: skip


def test_what_the_plan_keeps_needs_nothing_even_without_expedites() -> None:
    assert cheapest(elapsed([task("A", 9)], [], []), day(8)) == PulledIn(
        day(8), Decimal(0), Decimal(0), ()
    )


def test_a_sum_buys_the_earliest_finish_at_its_least_cost() -> None:
    """For 349: four days less from C, and the 99 left over buy nothing."""
    found = soonest_for(held_by_its_finish(), Decimal(349))
    assert (found.finish_on, found.cost) == (day(10), Decimal(250))
    assert found.is_proven
    assert soonest_for(held_by_its_finish(), Decimal(9999)).finish_on == day(7)


REFUSALS: list[tuple[Callable[[], object], str]] = [
    (lambda: cheapest(elapsed([task("A", 9)], [], []), day(7)),
     "expedites: the plan has none, so nothing can be taken"),
    (lambda: cheapest(elapsed([task("A", 9)], [], [by_the_day("A", 2, 5, taken=ticks(2))]), day(7)),
     "expedites: nothing is left to take: all are taken, or what they shorten is done"),
    (lambda: cheapest(held_by_its_finish(), day(6)),
     "finish_by: 2026-01-11 cannot be reached: the earliest finish is 2026-01-12, for 550 EUR"),
    (lambda: cheapest(elapsed([task("A", 9), task("B", 2)], [], [by_the_day("B", 1, 5)]), day(7)),
     "finish_by: 2026-01-12 cannot be reached: no expedite moves the finish before 2026-01-13"),
    (lambda: soonest_for(held_by_its_finish(), Decimal(0)),
     "budget: 0 EUR buys nothing: an earlier finish (2026-01-18) takes 100 EUR"),
    (lambda: soonest_for(held_by_its_finish(), Decimal(-1)),
     "budget: -1 is no sum that can be spent"),
    (lambda: soonest_for(elapsed([task("A", 9), task("B", 2)], [], [by_the_day("B", 1, 5)]),
                         Decimal(5)),
     "budget: no expedite moves the finish before 2026-01-13"),
    (lambda: cost_curve(elapsed([task("A", 9)], [], [by_the_day("A", 2, 5, currency="GBP")])),
     'expedites[0].currency: "X-A" costs GBP, of which no exchange rate into EUR is given'),
    (lambda: cost_curve(elapsed([task("A", 9)], [], [by_the_day("A", 2, 10**17)])),
     f'expedites[0].cost: {10**17} for "X-A" is too much, or too finely divided, to be added up'),
]  # fmt: skip


@pytest.mark.parametrize(("ask", "sentence"), REFUSALS, ids=range(len(REFUSALS)))
def test_what_cannot_be_is_refused_with_what_can(ask: Callable[[], object], sentence: str) -> None:
    with pytest.raises(InvalidValueError) as refused:
        ask()
    assert str(refused.value) == sentence


def many() -> Plan:
    """Return two chains that need several rounds: 20 tasks with a price each."""
    names = [f"T{number}" for number in range(20)]
    return elapsed(
        [task(name, 5 + number % 3) for number, name in enumerate(names)],
        [link(before, after) for before, after in zip(names, names[2:], strict=False)],
        [by_the_day(name, 3, 10 + 7 * number % 11) for number, name in enumerate(names)],
    )


def ticking(times: Iterator[float]) -> Callable[[], float]:
    """Return a clock that shows these times, one after the other."""
    return lambda: next(times)


def test_out_of_time_the_best_known_comes_with_how_far_it_may_be_off() -> None:
    """The clock stands still for the first look, then the time is over."""
    proven = cheapest(many(), schedule(many()).finish_on - timedelta(days=9))
    late = ticking(chain([0.0, 0.0, 0.0], repeat(100.0)))
    found = pulling_in.cheapest(
        many(), schedule(many()).finish_on - timedelta(days=9), seconds=5, clock=late
    )
    assert found.finish_on <= schedule(many()).finish_on - timedelta(days=9)
    assert not found.is_proven
    assert found.bound < proven.cost <= found.cost
    assert found.gap == found.cost - found.bound


def test_out_of_time_a_curve_still_ends_at_the_earliest_finish() -> None:
    whole = cost_curve(many())
    late = ticking(chain([0.0, 0.0, 0.0], repeat(100.0)))
    short = pulling_in.cost_curve(many(), seconds=5, clock=late)
    assert len(short) == 2 < len(whole)
    assert short[-1].finish_on == whole[-1].finish_on
    assert short[-1].bound <= whole[-1].cost <= short[-1].cost


def test_a_caller_can_cancel() -> None:
    class EnoughError(Exception):
        """The caller has seen enough."""

    told: list[float] = []

    def stop(done: float) -> None:
        told.append(done)
        if done > 0.5:
            raise EnoughError

    with pytest.raises(EnoughError):
        cost_curve(many(), on_progress=stop)
    assert told == sorted(told)
    assert 0.5 < told[-1] < 1


def test_progress_of_a_curve_ends_at_all_of_it() -> None:
    told: list[float] = []
    cost_curve(many(), on_progress=told.append)
    assert (told[0], told[-1]) == (0.0, 1.0)


def test_an_answer_that_the_schedule_does_not_confirm_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Here the changes are lost on their way to the schedule."""
    monkeypatch.setattr(puller, "apply_changes", lambda made, _: Case(made))
    with pytest.raises(DisagreementError, match="re-scheduled"):
        cheapest(many(), schedule(many()).finish_on - timedelta(days=1))
