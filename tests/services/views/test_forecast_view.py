"""The owner's page."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from ribstitch.planning.model import (
    BudgetLine,
    Cost,
    CrewLink,
    ExchangeRate,
    LagOn,
    Link,
    Plan,
    Relation,
    SendOutStatus,
    Task,
)
from ribstitch.planning.uncertainty import Spread
from ribstitch.services.views.chain import critical_chain
from ribstitch.services.views.forecast_view import ForecastView, forecast_view
from ribstitch.services.views.spend import ForeignPaid, spend
from ribstitch.store import LoggedForecast, LoggedSpread
from tests.services.views.plans import current_of, hangar, with_task
from tests.store.plans import AT, DAY


def page(**changes: object) -> ForecastView:
    """Return the page of the hangar."""
    return forecast_view(current_of(hangar(**changes)), [])


def test_page_says_when_and_how_far_it_has_come() -> None:
    """27 days from 9 January to 5 February; 5 of 19 planned days of work are done."""
    seen = page()
    assert (seen.finish, seen.late_days, seen.weeks_to_go) == (date(2026, 2, 5), -15, 3.9)
    assert seen.done_share == 5 / 19
    assert seen.waiting_for_owner == []


def test_milestones_come_by_date() -> None:
    (flight,) = page().milestones
    assert (flight.name, flight.finish, flight.done) == ("First flight", date(2026, 2, 5), False)
    assert (flight.late_finish, flight.total_float_days) == (date(2026, 2, 5), 0)


def test_chain_is_told_in_sentences() -> None:
    assert [line.sentence for line in page().why] == [
        "At Fin Works until 2026-01-30 (promised).",
        "Begins once Engine: at work is finished (2026-01-30).",
        "Begins once Engine: on the way back is finished (2026-02-01).",
        "Begins once Engine: receive and accept is finished (2026-02-02).",
        "Begins once Hang the engine is finished (2026-02-05). This sets the finish.",
    ]
    assert {line.zone_name for line in page().why[:4]} == {"Nose"}


def test_chain_names_people_who_are_busy() -> None:
    """The frame until Mon 12, then forty days of skin with the same hands: that is the finish."""
    plan = hangar(crew_links=(CrewLink("frame", "skin", names=("metal",)),))
    long = replace(plan.tasks[3], duration=40 * DAY)
    chain = critical_chain(current_of(replace(plan, tasks=with_task(plan, long))))
    assert [one.sentence for one in chain[:2]] == [
        "Begun on 2026-01-08, 2 days left.",
        "Waits for the metalworker, who first does Frame (until 2026-01-12).",
    ]


def test_chain_leads_through_work_that_was_dropped() -> None:
    """Frame, the work left out, then forty days: the step between is not shown, and named."""
    plan = hangar()
    long = Task("long", 40 * DAY, "Long")
    links = (*plan.links, Link("frame", "spare"), Link("spare", "long"))
    chain = critical_chain(current_of(replace(plan, tasks=(*plan.tasks, long), links=links)))
    assert [one.id for one in chain] == ["frame", "long"]
    assert chain[1].sentence == (
        "Begins once Frame is finished (2026-01-12); what lay between was dropped. "
        "This sets the finish."
    )


@pytest.mark.parametrize(
    ("link", "sentence"),
    [
        (
            Link("frame", "cover", lag=3 * DAY),
            "Begins 3 working days after Frame is finished (2026-01-12).",
        ),
        (
            Link("frame", "cover", lag=-DAY),
            "Begins 1 working day before Frame is finished (2026-01-12).",
        ),
        (
            Link("frame", "cover", lag=90 * DAY, lag_on=LagOn.ELAPSED),
            "Begins 90 elapsed days after Frame is finished (2026-01-12).",
        ),
        (
            Link("frame", "cover", Relation.FINISH_FINISH, 60 * DAY),
            "Cannot finish until 60 working days after Frame is finished (2026-01-12).",
        ),
        (
            Link("skin", "cover", Relation.START_START),
            "Begins once Skin has begun (2026-01-09).",
        ),
        (
            Link("skin", "cover", Relation.START_FINISH, 60 * DAY),
            "Cannot finish until 60 working days after Skin has begun (2026-01-09).",
        ),
    ],
)
def test_every_kind_of_link_has_its_sentence(link: Link, sentence: str) -> None:
    plan = replace(hangar(), links=(link,), send_outs=())
    tasks = tuple(
        replace(task, duration=40 * DAY) if task.id == "cover" else task
        for task in plan.tasks
        if task.id in {"survey", "frame", "skin", "cover"}
    )
    chain = critical_chain(current_of(replace(plan, tasks=tasks)))
    assert chain[-1].sentence == f"{sentence} This sets the finish."


def test_first_of_the_chain_says_why_it_stands_there() -> None:
    def first(task: Task) -> str:
        plan = Plan(hangar().project, hangar().calendars, tasks=(task,))
        return critical_chain(current_of(plan))[0].sentence

    frame = replace(hangar().tasks[1], zone=None)
    assert first(frame) == "Begun on 2026-01-08, 2 days left. This sets the finish."
    assert first(Task("a", DAY)) == "Can begin on 2026-01-09. This sets the finish."
    later = Task("a", DAY, not_before=date(2026, 2, 2))
    assert first(later) == "Not before 2026-02-02. This sets the finish."


def test_what_comes_next_is_the_work_that_protects_the_finish() -> None:
    assert [line.id for line in page().next] == ["frame", "skin", "sweep", "cover", "hang"]
    assert [line.id for line in page().next if line.in_work] == ["frame"], "as recorded"


def test_price_that_waits_for_a_yes_is_a_question_to_the_owner() -> None:
    item = replace(
        hangar().send_outs[0],
        approval=5 * DAY,
        intake=DAY,
        status=SendOutStatus(quoted=date(2026, 1, 8)),
    )
    (question,) = page(send_outs=(item,)).waiting_for_owner
    assert (question.id, question.name) == ("S1", "Engine")


def entry(version: int, at: datetime, as_of: date, finish: date) -> LoggedForecast:
    """Return an entry of the forecast log."""
    return LoggedForecast(version, at, as_of, finish, f"change {version}")


def test_log_keeps_the_entries_at_which_something_moved() -> None:
    monday, tuesday = date(2026, 1, 5), date(2026, 1, 6)
    first, later = date(2026, 2, 5), date(2026, 2, 12)
    moments = [AT + timedelta(hours=hours) for hours in range(6)]
    log = [
        entry(1, moments[0], monday, first),
        entry(2, moments[1], monday, first),
        entry(3, moments[2], monday, later),
        entry(4, moments[3], tuesday, later),
        entry(5, moments[4], tuesday, later),
        entry(6, moments[5], tuesday, later),
    ]
    seen = forecast_view(current_of(hangar()), log).log
    assert [line.plan_version for line in seen] == [1, 3, 4, 6]
    assert (seen[1].on, seen[1].finish, seen[1].reason) == (monday, later, "change 3")


def spread(version: int, p50: date, on: date = date(2026, 1, 9)) -> LoggedSpread:
    """Return how sure an entry of the forecast log was."""
    week = timedelta(days=7)
    return LoggedSpread(
        version, on, p50, p50 - week, p50, p50 + week, p50 + 2 * week, 0.25, 500, 3, 1
    )


def test_log_tells_how_sure_each_forecast_was() -> None:
    """The second entry moved nothing as written, but its likely date; the third is not known."""
    monday, finish, likely = date(2026, 1, 5), date(2026, 2, 5), date(2026, 3, 2)
    log = [entry(number, AT, monday, finish) for number in range(1, 6)]
    later = likely + timedelta(days=3)
    spreads = [spread(1, likely), spread(2, later), spread(4, later), spread(5, later)]
    seen = forecast_view(current_of(hangar()), log, spreads).log
    assert [line.plan_version for line in seen] == [1, 2, 5]
    assert [line.p50 for line in seen] == [likely, later, later]
    assert seen[0].spread == Spread(
        likely - timedelta(days=7), likely, later + timedelta(days=4), likely + timedelta(days=14)
    )
    assert (seen[0].chance_of_target, seen[0].runs, seen[0].seed) == (0.25, 500, 3)
    assert seen[0].forecast_engine == 1


def test_entry_that_was_not_simulated_has_no_spread() -> None:
    log = [entry(1, AT, date(2026, 1, 5), date(2026, 2, 5))]
    (line,) = forecast_view(current_of(hangar()), log).log
    assert (line.spread, line.p50, line.runs, line.forecast_engine) == (None,) * 4


def test_of_several_spreads_of_a_plan_the_last_one_counts() -> None:
    """Logged again on the next day, by a release that simulates otherwise."""
    log = [entry(1, AT, date(2026, 1, 5), date(2026, 2, 5))]
    spreads = [spread(1, date(2026, 3, 2)), spread(1, date(2026, 3, 9), date(2026, 1, 10))]
    (line,) = forecast_view(current_of(hangar()), log, spreads).log
    assert line.p50 == date(2026, 3, 9)


def test_money_is_added_up_exactly_in_the_projects_currency() -> None:
    """Ten times ten cents is one euro, not a little less; 31,000 at 1.2 are 37,200."""
    costs = [Cost(f"C{n}", Decimal("0.10"), "EUR", state="paid") for n in range(10)]
    costs += [
        Cost("G", Decimal(31000), "GBP", state="paid"),
        Cost("O", Decimal(99), "EUR", state="ordered"),
    ]
    budget = (BudgetLine("71", Decimal("5.50"), "EUR"), BudgetLine("72", Decimal("0.5"), "EUR"))
    rates = (ExchangeRate("GBP", date(2026, 1, 1), Decimal("1.2")),)
    seen = spend(current_of(hangar(costs=tuple(costs), budget=budget, exchange_rates=rates)))
    assert (seen.currency, seen.budget, seen.paid) == ("EUR", "6.00", "37201.00")
    assert (seen.committed, seen.at_completion) == ("99.00", "37300.00")
    assert seen.by_currency == [ForeignPaid("GBP", "31000.00")]


def test_page_without_any_task_finishes_at_the_start() -> None:
    plan = Plan(hangar().project, hangar().calendars)
    seen = forecast_view(current_of(plan), [])
    assert (seen.why, seen.next, seen.milestones, seen.done_share) == ([], [], [], 0.0)
