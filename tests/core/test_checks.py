"""Every way in which a plan is refused: which field, and the sentence a person reads."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.checks import LONGEST, check_plan, leg_field
from ribstitch.planning.errors import (
    DuplicateIdError,
    EmptyCalendarError,
    InvalidValueError,
    PlanError,
    UnknownReferenceError,
)
from ribstitch.planning.model import (
    Calendar,
    Contact,
    Cost,
    Crew,
    ExchangeRate,
    Link,
    Milestone,
    PastJob,
    Place,
    Plan,
    Project,
    Risk,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    Vendor,
    Zone,
)
from tests.core.making import SHOP, plan, status, task, ticks

AS_OF = date(2026, 2, 2)
BEFORE, AFTER = date(2026, 1, 20), date(2026, 2, 3)
VENDOR = Vendor("V1")


def refused(made: Plan) -> tuple[type[PlanError], str, str]:
    """Return the error that a plan meets, and see that its sentence names the field."""
    with pytest.raises(PlanError) as caught:
        check_plan(made)
    error = caught.value
    assert str(error) == f"{error.where}: {error.reason}"
    return type(error), error.where, error.reason


def with_send_outs(*send_outs: SendOut, **fields: Any) -> Plan:
    """Return a plan with two tasks, a vendor and some send-outs."""
    return plan(
        [task("A"), task("B")], as_of=AS_OF, vendors=[VENDOR], send_outs=send_outs, **fields
    )


def test_a_plain_plan_is_accepted() -> None:
    check_plan(with_send_outs(SendOut("S1", "V1", lead=ticks(3), after=("A",), before=("B",))))


def test_an_empty_plan_is_accepted() -> None:
    check_plan(plan())


@pytest.mark.parametrize(
    ("made", "where", "kind"),
    [
        (plan([task("A"), task("A")]), "tasks[1]", "task"),
        (plan(calendars=[SHOP, SHOP]), "calendars[1]", "calendar"),
        (plan(zones=[Zone("A"), Zone("A")]), "zones[1]", "zone"),
        (plan(vendors=[Vendor("A"), Vendor("A")]), "vendors[1]", "vendor"),
        (with_send_outs(SendOut("A", "V1"), SendOut("A", "V1")), "send_outs[1]", "send-out"),
        (plan(places=[Place("A"), Place("A")]), "places[1]", "place"),
        (
            plan(kinds=[SendOutKind("A", 1, 2), SendOutKind("A", 1, 2)]),
            "kinds[1]",
            "kind of send-out",
        ),
        (plan(risks=[Risk("A"), Risk("A")]), "risks[1]", "risk"),
        (plan(costs=[Cost("A", Decimal(1), "EUR")] * 2), "costs[1]", "cost line"),
    ],
)
def test_ids_used_twice_are_refused(made: Plan, where: str, kind: str) -> None:
    name = "shop" if kind == "calendar" else "A"
    reason = f'the {kind} id "{name}" is used twice'
    assert refused(made) == (DuplicateIdError, f"{where}.id", reason)


@pytest.mark.parametrize("name", ["", "  "])
def test_an_empty_id_is_refused(name: str) -> None:
    found = refused(plan([task("A"), task(name)]))
    assert found == (InvalidValueError, "tasks[1].id", "an id cannot be empty")


@pytest.mark.parametrize(
    ("made", "where", "kind"),
    [
        (plan(calendar="X"), "project.calendar", "calendar"),
        (plan([task("A", calendar="X")]), "tasks[0].calendar", "calendar"),
        (plan([task("A", zone="X")]), "tasks[0].zone", "zone"),
        (plan([task("A")], [Link("X", "A")]), "links[0].from", "task"),
        (plan([task("A")], [Link("A", "X")]), "links[0].to", "task"),
        (plan(vendors=[Vendor("V1", calendar="X")]), "vendors[0].calendar", "calendar"),
        (plan(vendors=[Vendor("V1", kinds=("X",))]), "vendors[0].kinds[0]", "kind of send-out"),
        (plan(crew=[Crew("metal", calendar="X")]), "crew[0].calendar", "calendar"),
        (with_send_outs(SendOut("S1", "X")), "send_outs[0].vendor", "vendor"),
        (with_send_outs(SendOut("S1", "V1", after=("A", "X"))), "send_outs[0].after[1]", "task"),
        (with_send_outs(SendOut("S1", "V1", before=("X",))), "send_outs[0].before[0]", "task"),
        (with_send_outs(SendOut("S1", "V1", trip_of="X")), "send_outs[0].trip_of", "send-out"),
        (plan(zones=[Zone("tail", opened_by="X")]), "zones[0].opened_by", "task"),
        (plan(risks=[Risk("R1", task="X")]), "risks[0].task", "task"),
        (plan(risks=[Risk("R1", send_out="X")]), "risks[0].send_out", "send-out"),
        (plan(costs=[Cost("C1", Decimal(1), "EUR", task="X")]), "costs[0].task", "task"),
        (
            plan(costs=[Cost("C1", Decimal(1), "EUR", send_out="X")]),
            "costs[0].send_out",
            "send-out",
        ),
    ],
)
def test_references_to_nothing_are_refused(made: Plan, where: str, kind: str) -> None:
    reason = f'there is no {kind} "X" in the plan'
    assert refused(made) == (UnknownReferenceError, where, reason)


def test_a_link_of_a_task_to_itself_is_refused() -> None:
    found = refused(plan([task("A")], [Link("A", "A")]))
    assert found == (InvalidValueError, "links[0]", '"A" is linked to itself')


TWENTY_YEARS = "7321 days is more than 20 years"


@pytest.mark.parametrize(
    ("made", "where", "reason"),
    [
        (plan([task("A", -0.5)]), "tasks[0].days", "-0.5 days is less than nothing"),
        (plan([task("A", 7321)]), "tasks[0].days", TWENTY_YEARS),
        (
            plan([task("A"), task("B")], [Link("A", "B", lag=-ticks(7321))]),
            "links[0].lag_days",
            TWENTY_YEARS,
        ),
        (
            plan([task("A", duration_range=(-1440, 0, 1440))]),
            "tasks[0].days_range[0]",
            "-1 days is less than nothing",
        ),
        (
            plan([task("A", duration_range=(0, 1, ticks(7321)))]),
            "tasks[0].days_range[2]",
            TWENTY_YEARS,
        ),
        (
            plan([task("A", duration_range=(1440, 720, 2880))]),
            "tasks[0].days_range",
            "low, likely and high must rise: 1, 0.5, 2 days",
        ),
        (
            plan([task("A", status=status("in_work", -1, started=BEFORE))], as_of=AS_OF),
            "tasks[0].status.remaining_days",
            "-1 days is less than nothing",
        ),
        (
            plan([task("A", 2, milestone=Milestone.FINISH)]),
            "tasks[0].days",
            '"A" is a milestone, so it cannot take 2 days',
        ),
        (plan([task("A", people=-1)]), "tasks[0].people", "-1 people cannot be"),
        (plan(crew=[Crew("metal", people=-2)]), "crew[0].people", "-2 people cannot be"),
        (
            plan(risks=[Risk("R1", impact=-1440)]),
            "risks[0].impact_days",
            "-1 days is less than nothing",
        ),
        (
            plan(risks=[Risk("R1", probability=1.2)]),
            "risks[0].probability",
            "1.2 is not between 0 and 1",
        ),
        (
            plan(risks=[Risk("R1", probability=float("nan"))]),
            "risks[0].probability",
            "nan is not between 0 and 1",
        ),
    ],
)
def test_numbers_that_make_no_sense_are_refused(made: Plan, where: str, reason: str) -> None:
    assert refused(made) == (InvalidValueError, where, reason)


@pytest.mark.parametrize("days", [0, 20 * 366])
def test_durations_of_nothing_and_of_twenty_years_are_accepted(days: int) -> None:
    check_plan(plan([task("A", days)]))
    assert ticks(20 * 366) == LONGEST


@pytest.mark.parametrize(
    ("leg", "key"),
    [
        ("prepare", "prepare_days"),
        ("ship_out", "ship_out_days"),
        ("customs_out", "customs_out_days"),
        ("intake", "intake_days"),
        ("approval", "approval_days"),
        ("lead", "lead_days"),
        ("ship_back", "ship_back_days"),
        ("customs_back", "customs_back_days"),
        ("accept", "accept_days"),
        ("return_leg", "return_days"),
    ],
)
def test_legs_shorter_than_nothing_are_refused_by_their_key(leg: str, key: str) -> None:
    legs: dict[str, Any] = {leg: -1440}
    found = refused(with_send_outs(SendOut("S1", "V1", **legs)))
    assert found == (InvalidValueError, f"send_outs[0].{key}", "-1 days is less than nothing")
    assert leg_field(leg) == key


OUTSIDE = "is not between the years 1900 and 2199"


@pytest.mark.parametrize(
    ("made", "where", "reason"),
    [
        (plan(start=date(1899, 12, 31)), "project.start", f"1899-12-31 {OUTSIDE}"),
        (plan(as_of=date(2200, 1, 1)), "project.as_of", f"2200-01-01 {OUTSIDE}"),
        (
            Plan(Project(AS_OF, AS_OF, target_finish=date(2200, 1, 1)), calendars=(SHOP,)),
            "project.target_finish",
            f"2200-01-01 {OUTSIDE}",
        ),
        (
            plan([task("A", not_before=date(9999, 1, 1))]),
            "tasks[0].not_before",
            f"9999-01-01 {OUTSIDE}",
        ),
        (plan([task("A", deadline=date(1, 1, 1))]), "tasks[0].deadline", f"0001-01-01 {OUTSIDE}"),
        (
            plan([task("A", status=status("held", held_until=date(2200, 1, 1)))]),
            "tasks[0].status.held_until",
            f"2200-01-01 {OUTSIDE}",
        ),
        (
            with_send_outs(SendOut("S1", "V1", status=SendOutStatus(promised=date(2200, 1, 1)))),
            "send_outs[0].status.promised",
            f"2200-01-01 {OUTSIDE}",
        ),
    ],
)
def test_dates_outside_the_computed_years_are_refused(made: Plan, where: str, reason: str) -> None:
    assert refused(made) == (InvalidValueError, where, reason)


LATER = '2026-02-03 of "{name}" is after the as-of date 2026-02-02'


@pytest.mark.parametrize(
    ("made", "where"),
    [
        (
            plan([task("A", status=status("in_work", started=AFTER))], as_of=AS_OF),
            "tasks[0].status.started",
        ),
        (
            plan([task("A", status=status("done", finished=AFTER))], as_of=AS_OF),
            "tasks[0].status.finished",
        ),
        *(
            (
                with_send_outs(SendOut("S1", "V1", status=SendOutStatus(**{key: AFTER}))),
                f"send_outs[0].status.{key}",
            )
            for key in (
                "shipped",
                "arrived",
                "quoted",
                "approved",
                "left_vendor",
                "received",
                "accepted",
                "rejected",
                "returned",
            )
        ),
        (
            with_send_outs(SendOut("S1", "V1", contacts=(Contact(AS_OF), Contact(AFTER)))),
            "send_outs[0].contacts[1].on",
        ),
    ],
)
def test_actual_dates_after_the_as_of_date_are_refused(made: Plan, where: str) -> None:
    name = "A" if where.startswith("tasks") else "S1"
    assert refused(made) == (InvalidValueError, where, LATER.format(name=name))


def test_a_promise_may_lie_after_the_as_of_date() -> None:
    check_plan(with_send_outs(SendOut("S1", "V1", lead=1, status=SendOutStatus(promised=AFTER))))


def test_a_finish_before_its_start_is_refused() -> None:
    backwards = status("done", started=AS_OF, finished=BEFORE)
    found = refused(plan([task("A", status=backwards)], as_of=AS_OF))
    reason = '"A" finished (2026-01-20) before it started (2026-02-02)'
    assert found == (InvalidValueError, "tasks[0].status.finished", reason)


@pytest.mark.parametrize(
    ("state", "fields", "key", "reason"),
    [
        ("in_work", {}, "started", '"A" is in_work, so it needs a date here'),
        ("done", {"started": BEFORE}, "finished", '"A" is done, so it needs a date here'),
        (
            "not_started",
            {"started": BEFORE},
            "started",
            '"A" is not_started, so there can be no date here',
        ),
        (
            "not_started",
            {"finished": BEFORE},
            "finished",
            '"A" is not_started, so there can be no date here',
        ),
        (
            "in_work",
            {"started": BEFORE, "finished": BEFORE},
            "finished",
            '"A" is in_work, so there can be no date here',
        ),
        ("held", {"finished": BEFORE}, "finished", '"A" is held, so there can be no date here'),
    ],
)
def test_states_that_contradict_their_dates_are_refused(
    state: str, fields: dict[str, Any], key: str, reason: str
) -> None:
    found = refused(plan([task("A", status=status(state, **fields))], as_of=AS_OF))
    assert found == (InvalidValueError, f"tasks[0].status.{key}", reason)


@pytest.mark.parametrize(
    ("state", "fields"),
    [
        ("held", {"started": BEFORE}),
        ("held", {}),
        ("done", {"finished": AS_OF}),
        ("done", {"started": BEFORE, "finished": BEFORE}),
        ("dropped", {}),
        ("dropped", {"started": BEFORE}),
        ("in_work", {"started": AS_OF}),
    ],
)
def test_states_with_what_they_may_have_are_accepted(state: str, fields: dict[str, Any]) -> None:
    check_plan(plan([task("A", status=status(state, **fields))], as_of=AS_OF))


def test_dates_of_a_send_out_must_rise_with_the_legs_left_out() -> None:
    falling = SendOutStatus(shipped=AS_OF, quoted=BEFORE)
    found = refused(with_send_outs(SendOut("S1", "V1", status=falling)))
    reason = "2026-01-20 is before shipped (2026-02-02)"
    assert found == (InvalidValueError, "send_outs[0].status.quoted", reason)


def test_two_dates_of_a_send_out_may_be_the_same() -> None:
    same = SendOutStatus(shipped=BEFORE, arrived=BEFORE, quoted=BEFORE)
    check_plan(with_send_outs(SendOut("S1", "V1", status=same)))


def test_the_core_of_an_exchange_may_leave_after_the_unit_has_come() -> None:
    status = SendOutStatus(left_vendor=BEFORE, received=BEFORE, accepted=BEFORE, shipped=AS_OF)
    check_plan(with_send_outs(SendOut("S1", "V1", source=Source.EXCHANGE, status=status)))


def test_dates_of_an_exchange_unit_rise_among_themselves() -> None:
    falling = SendOutStatus(left_vendor=AS_OF, received=BEFORE)
    found = refused(with_send_outs(SendOut("S1", "V1", source=Source.EXCHANGE, status=falling)))
    reason = "2026-01-20 is before left_vendor (2026-02-02)"
    assert found == (InvalidValueError, "send_outs[0].status.received", reason)


def test_an_item_cannot_be_accepted_and_rejected() -> None:
    both = SendOutStatus(accepted=BEFORE, rejected=BEFORE)
    found = refused(with_send_outs(SendOut("S1", "V1", status=both)))
    assert found == (InvalidValueError, "send_outs[0].status.rejected", '"S1" is accepted already')


def test_trips_in_a_circle_are_refused() -> None:
    circle = [
        SendOut("S1", "V1", trip_of="S3"), SendOut("S2", "V1", trip_of="S1"),
        SendOut("S3", "V1", trip_of="S2"),
    ]  # fmt: skip
    reason = 'the trips of "S1" run in a circle'
    assert refused(with_send_outs(*circle)) == (InvalidValueError, "send_outs[0].trip_of", reason)


def test_a_send_out_that_is_a_trip_of_itself_is_refused() -> None:
    reason = 'the trips of "S1" run in a circle'
    found = refused(with_send_outs(SendOut("S1", "V1", trip_of="S1")))
    assert found == (InvalidValueError, "send_outs[0].trip_of", reason)


def test_two_further_trips_of_one_send_out_are_refused() -> None:
    items = [SendOut("S1", "V1"), *(SendOut(f"S1/{n}", "V1", trip_of="S1") for n in (2, 3))]
    reason = '"S1/2" is the further trip of "S1" already'
    assert refused(with_send_outs(*items)) == (InvalidValueError, "send_outs[2].trip_of", reason)


def test_a_task_with_the_name_of_a_leg_is_refused() -> None:
    made = plan(
        [task("A"), task("S1/accept")],
        vendors=[VENDOR],
        send_outs=[SendOut("S1", "V1", lead=1440, accept=1440)],
    )
    reason = '"S1/accept" is the name of a leg of the send-out "S1"'
    assert refused(made) == (InvalidValueError, "tasks[1].id", reason)


def test_a_calendar_is_refused_with_its_place_in_the_plan() -> None:
    idle = Calendar("idle", week_hours=(0.0,) * 7)
    reason = 'the calendar "idle" has no working day'
    assert refused(plan(calendars=[SHOP, idle])) == (
        EmptyCalendarError, "calendars[1].week", reason,
    )  # fmt: skip


def with_job(job: PastJob) -> Plan:
    """Return a plan whose vendor has done one job before the given one."""
    return plan(vendors=[Vendor("V1", history=(PastJob("fin", 10, 12), job))])


JOB = "vendors[0].history[1]"
USD = ExchangeRate("USD", BEFORE, Decimal("0.9"))


@pytest.mark.parametrize(
    ("made", "where", "reason"),
    [
        (
            plan(project={"zone_spread": 1.5}),
            "project.zone_spread",
            "1.5 is not between 0 and 1",
        ),
        (
            plan(project={"trade_spread": -0.1}),
            "project.trade_spread",
            "-0.1 is not between 0 and 1",
        ),
        (
            plan(project={"standing_per_month": Decimal("-0.01")}),
            "project.standing_per_month",
            "-0.01 is less than nothing",
        ),
        (
            plan(zones=[Zone("tail", hidden_work_percent=500.5)]),
            "zones[0].hidden_work_percent",
            "500.5 is not between 0 and 500",
        ),
        (
            plan(zones=[Zone("tail", hidden_work_percent=-1)]),
            "zones[0].hidden_work_percent",
            "-1 is not between 0 and 500",
        ),
        (
            plan(kinds=[SendOutKind("fin", 0, 1.5)]),
            "kinds[0].over_median",
            "0 times the quote cannot be",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1.2, -1.5)]),
            "kinds[0].over_p90",
            "-1.5 times the quote cannot be",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1.2, 1.1)]),
            "kinds[0].over_p90",
            "1.1 is less than over_median, 1.2",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1, 1, rejected=1.01)]),
            "kinds[0].rejected",
            "1.01 is not between 0 and 1",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1, 1, growth_median=1.2, growth_p90=1.1)]),
            "kinds[0].growth_p90",
            "1.1 is less than growth_median, 1.2",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1, 1, growth_median=0.0, growth_p90=1.1)]),
            "kinds[0].growth_median",
            "0 times the first price cannot be",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1, 1, growth_median=1.2)]),
            "kinds[0].growth_p90",
            "growth_median and growth_p90 are given together",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1, 1, growth_p90=1.2)]),
            "kinds[0].growth_median",
            "growth_median and growth_p90 are given together",
        ),
        (
            plan(kinds=[SendOutKind("fin", 1, 1, quoted_days=0)]),
            "kinds[0].quoted_days",
            "a job cannot take 0 days",
        ),
        (with_job(PastJob("fin", 0, 5)), f"{JOB}.quoted_days", "a job cannot take 0 days"),
        (with_job(PastJob("fin", 5, 0)), f"{JOB}.actual_days", "a job cannot take 0 days"),
        (
            with_job(PastJob("fin", 5, 6, promised_days=0)),
            f"{JOB}.promised_days",
            "a job cannot take 0 days",
        ),
        (
            with_job(PastJob("fin", 5, 6, quoted_price=Decimal(0))),
            f"{JOB}.quoted_price",
            "a price cannot be 0",
        ),
        (
            with_job(PastJob("fin", 5, 6, final_price=Decimal("-2.5"))),
            f"{JOB}.final_price",
            "a price cannot be -2.5",
        ),
        (with_job(PastJob("fin", 5, 6, trips=0)), f"{JOB}.trips", "0 trips cannot be"),
        (plan(crew=[Crew("metal", rate=Decimal(-1))]), "crew[0].rate", "-1 is less than nothing"),
        (
            plan([task("A")], risks=[Risk("R1", task="A", impact_range=(2880, 1440, 1440))]),
            "risks[0].impact_days_range",
            "low, likely and high must rise: 2, 1, 1 days",
        ),
        (
            plan([task("A")], risks=[Risk("R1", task="A", impact_range=(-180, 0, 1440))]),
            "risks[0].impact_days_range[0]",
            "-0.125 days is less than nothing",
        ),
        (plan(risks=[Risk("R1")]), "risks[0].task", '"R1" names neither a task nor a send-out'),
        (
            with_send_outs(SendOut("S1", "V1"), risks=[Risk("R1", task="A", send_out="S1")]),
            "risks[0].send_out",
            '"R1" names both the task "A" and the send-out "S1"',
        ),
        (
            plan(exchange_rates=[ExchangeRate("USD", BEFORE, Decimal(0))]),
            "exchange_rates[0].rate",
            "0 for one USD cannot be",
        ),
        (
            plan(exchange_rates=[ExchangeRate("USD", date(1899, 1, 1), Decimal(1))]),
            "exchange_rates[0].on",
            f"1899-01-01 {OUTSIDE}",
        ),
        (
            plan(exchange_rates=[USD, USD]),
            "exchange_rates[1].on",
            "USD has a rate from 2026-01-20 already",
        ),
    ],
)
def test_uncertainty_that_makes_no_sense_is_refused(made: Plan, where: str, reason: str) -> None:
    assert refused(made) == (InvalidValueError, where, reason)


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused_wherever_a_share_or_a_ratio_stands(number: float) -> None:
    for made in (
        plan(project={"zone_spread": number}),
        plan(zones=[Zone("tail", hidden_work_percent=number)]),
        plan(kinds=[SendOutKind("fin", 1, 1, rejected=number)]),
    ):
        assert refused(made)[0] is InvalidValueError


@pytest.mark.parametrize(
    "made",
    [
        plan([task("A", 2, duration_range=(2880, 2880, 2880))]),
        plan([task("A", 2, duration_range=(0, 0, 0))]),
        plan(project={"zone_spread": 0, "trade_spread": 1, "standing_per_month": Decimal(0)}),
        plan([task("A")], zones=[Zone("tail", "", 500, "A"), Zone("bow", "", 0)]),
        plan(kinds=[SendOutKind("fin", 0.5, 0.5, rejected=1), SendOutKind("spar", 1, 9)]),
        plan(vendors=[Vendor("V1")]),
        plan(vendors=[Vendor("V1", history=(PastJob("fin", 0.125, 300, None, 3, 0.5),))]),
        plan(crew=[Crew("help", rate=Decimal(0)), Crew("metal", rate=Decimal("48.50"))]),
        plan(risks=[Risk("R1", closed=True)]),
        with_send_outs(SendOut("S1", "V1"), risks=[Risk("R1", send_out="S1", probability=1)]),
        plan(exchange_rates=[USD, ExchangeRate("USD", AFTER, Decimal(1))]),
    ],
    ids=[
        "range without spread", "range of nothing", "spreads at their ends", "percent at its ends",
        "kinds at their ends", "no history", "one past job", "unpaid hands", "closed risk",
        "certain risk", "two rates of one currency",
    ],
)  # fmt: skip
def test_uncertainty_at_its_limits_is_accepted(made: Plan) -> None:
    check_plan(made)
