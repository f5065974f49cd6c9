"""The demo restoration: what its plan must hold, counted from the scenario's own lists."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from ribstitch.planfile import parse_plan
from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.drafting import Job, draft_plan, merge
from ribstitch.planning.grace import late_curve, send_out_grace, vendor_grace
from ribstitch.planning.levelling import crew_links, crew_loads, level_plan, rota
from ribstitch.planning.model import Link, Plan, Source, State, Task
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.uncertainty import simulate
from ribstitch.planning.whatif import TaskDropped, apply_changes
from ribstitch.seeding import build_plan, library, plan_text
from ribstitch.seeding.__main__ import read_texts
from ribstitch.seeding.baseline import first_plan
from ribstitch.seeding.crew import Crew
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.figures import figures, into_page
from ribstitch.seeding.jobs import hours_by_trade, is_extra, list_jobs
from ribstitch.seeding.survey import survey_plan

ROOT = Path(__file__).parents[2]
SEED = ROOT / "seed_data"
PLAN_FILE = SEED / "garganey.plan.json"
AS_OF = date(2026, 10, 9)

PUBLISHED_HOURS = {
    "metal": 1340,
    "engine": 442,
    "fabric": 365,
    "wood": 255,
    "elec": 234,
    "help": 233,
    "insp": 116,
    "paint": 108,
    "pilot": 10,
}
"""Likely hours of the first plan by trade, as the scenario states them (whole hours)."""


@cache
def texts() -> dict[str, str]:
    return read_texts(SEED, "garganey")


@cache
def jobs() -> tuple[Job, ...]:
    crew = Crew(texts()["crew"], texts()["closures"])
    return list_jobs(survey_plan(texts(), crew), texts())


@cache
def plan() -> Plan:
    return parse_plan(PLAN_FILE.read_bytes(), PLAN_FILE.name)


@cache
def dates() -> Schedule:
    return schedule(plan())


def tasks() -> dict[str, Task]:
    return {task.id: task for task in plan().tasks}


def half_up(value: Fraction) -> int:
    return int(value + Fraction(1, 2))


def test_building_again_gives_the_same_bytes() -> None:
    assert plan_text(build_plan(texts())).encode() == PLAN_FILE.read_bytes()


def test_the_planner_run_again_on_the_demo_changes_nothing_but_keeps_what_was_done_by_hand() -> (
    None
):
    found = merge(plan(), draft_plan(plan(), library.assumptions(texts())))
    assert found.is_up_to_date
    assert found.drafts == plan().drafts
    kept = {(step.kind, step.key, step.why) for step in found.steps}
    assert {key for kind, key, why in kept if (kind, why) == ("send_out", "edited")} == {
        f"S{number:02}" for number in range(1, 15)
    }
    assert {(key, why) for kind, key, why in kept if kind == "link"} == {
        ("F59b.2 > F59b.3 FS", "edited"), ("F59c.2 > F59c.3 FS", "edited"),
    }  # fmt: skip
    assert {key for _kind, key, why in kept if why == "dropped"} == {"S07b", "S07c"}


def test_tasks_that_no_hand_planned_say_what_they_come_from() -> None:
    by_hand = {task.id for task in plan().tasks if task.origin is None}
    milestones = {row["ref"] for row in rows(texts()["milestones"])}
    assert by_hand == {"O02", "O03", "O04", "O05"} | milestones
    for task in plan().tasks:
        if task.origin is not None and task.origin.finding is not None:
            assert task.why.startswith(f"finding {task.origin.finding} (")


def test_plan_is_the_size_of_a_real_restoration() -> None:
    further = [item for item in plan().send_outs if item.trip_of]
    assert len(plan().tasks) >= 150
    assert len(plan().send_outs) - len(further) == 14
    assert [(item.id, item.trip_of) for item in further] == [("S03/2", "S03")]
    assert len(plan().vendors) == 12
    assert sum(len(vendor.history) for vendor in plan().vendors) == 40
    assert len(plan().places) == 3


def test_crew_is_six_in_the_shop_and_two_who_come() -> None:
    labels = Counter(one.label for one in plan().crew)
    assert len(labels) == 8
    assert labels["Metalworker 1"] == 2, "metal and paint are one person"
    assert {one.calendar for one in plan().crew} == {
        "c1", "c2", "c3", "c4", "c5", "c6", "x1", "shop",
    }  # fmt: skip


def test_first_plan_has_the_published_hours_by_trade() -> None:
    totals = hours_by_trade(jobs())
    assert {trade: half_up(hours) for trade, hours in totals.items()} == PUBLISHED_HOURS
    assert half_up(sum(totals.values(), Fraction(0))) == 3103


def test_first_plan_has_the_budgeted_hours_by_chapter() -> None:
    totals: dict[str, Fraction] = {}
    for job in jobs():
        for work in () if is_extra(job) else job.works:
            if work.trade:
                chapter = job.chapter or ""
                totals[chapter] = totals.get(chapter, Fraction(0)) + work.hours.likely
    budget = {row["chapter"]: int(row["hours"]) for row in rows(texts()["budget"])}
    assert set(totals) == {chapter for chapter, hours in budget.items() if hours}
    for chapter, hours in totals.items():
        assert abs(hours - budget[chapter]) <= Fraction(1, 2), chapter


def test_budget_adds_up_to_what_the_owners_approved() -> None:
    assert {line.currency for line in plan().budget} == {"EUR"}
    assert sum(line.amount for line in plan().budget) == 305_000


def test_every_finding_and_every_card_has_a_task() -> None:
    reasons = " ".join(task.why for task in plan().tasks)
    for row in rows(texts()["findings"]):
        assert f"finding {row['finding']} (" in reasons
    for row in rows(texts()["method_cards"]):
        assert f"card {row['card']}" in reasons


def test_only_the_first_task_waits_for_nothing_and_only_the_last_is_waited_for_by_nobody() -> None:
    links = dates().prepared.expansion.links
    ids = [one.id for one in dates().activities if one.leg != "return"]
    after, before = {link.after for link in links}, {link.before for link in links}
    assert [one for one in ids if one not in after] == ["M01.1"]
    assert [one for one in ids if one not in before] == ["handed_over"]


def test_every_finding_waits_for_the_dismantling_and_its_opened_zone() -> None:
    followers: dict[str, set[str]] = {}
    for link in plan().links:
        followers.setdefault(link.before, set()).add(link.after)

    def behind(task: str) -> set[str]:
        found: set[str] = set()
        todo = [task]
        while todo:
            new = followers.get(todo.pop(), set()) - found
            found |= new
            todo += new
        return found

    opened = {job.zone for job in jobs() if job.finding is None and job.id.startswith("M05.")}
    after_dismantling = behind("M03.4")
    after_zone = {zone: behind(f"M05.{zone}.3") for zone in opened}
    checked = 0
    for job in jobs():
        if job.finding is None:
            continue
        for work in job.works:
            assert work.id in after_dismantling
            if job.zone in opened:
                assert work.id in after_zone[job.zone]
                checked += 1
    assert checked > 90


@pytest.mark.parametrize(
    ("send_out", "after", "before"),
    [
        ("S01", {"F53.1"}, {"F53.4"}),
        ("S02", {"F56.1"}, {"F56.2"}),
        ("S03", {"F07.1", "F08.1"}, {"F07.2", "F08.2"}),
        ("S04", {"F09.1"}, {"F09.3", "F10"}),
        ("S05", {"F11.1", "F12", "F13"}, {"F11.3"}),
        ("S06", {"F53.1"}, {"F54.1"}),
        ("S07", {"F59a.2"}, {"F59a.3", "F49"}),
        ("S08", {"F58.1"}, {"F58.2"}),
        ("S09", {"M03.2"}, {"F57.3", "F24", "F03", "M28.1"}),
        ("S10", {"F11.2"}, {"F11.3", "F14.3"}),
        ("S11", {"F21.2"}, {"F21.3", "F21.4"}),
        ("S12", {"F39.1"}, {"F39.2"}),
        ("S13", {"F51"}, {"F53.3", "F53.5"}),
        ("S14", {"F55"}, {"F54.2"}),
    ],
)
def test_send_outs_leave_and_come_back_between_the_right_tasks(
    send_out: str, after: set[str], before: set[str]
) -> None:
    item = next(one for one in plan().send_outs if one.id == send_out)
    assert set(item.after) == after
    assert set(item.before) == before


def test_seven_orders_are_open_and_three_not_sent_yet() -> None:
    open_items = set(dates().prepared.expansion.open_legs)
    sent = {item.id for item in plan().send_outs if item.status.approved}
    assert open_items & sent == {"S01", "S02", "S03/2", "S09", "S11", "S12", "S14"}
    assert open_items - sent == {"S04", "S10", "S13"}


def test_chased_vendors_have_their_contacts() -> None:
    contacts = {item.id: item.contacts for item in plan().send_outs}
    assert {date(2026, 8, 17), date(2026, 8, 31)} <= {one.on for one in contacts["S09"]}
    assert date(2026, 9, 2) in {one.on for one in contacts["S03/2"]}
    for ref in ("S01", "S09", "S11", "S12", "S14", "S03/2"):
        assert contacts[ref], ref


def test_kinds_whose_pattern_comes_back_are_patterns() -> None:
    lent = {item.id for item in plan().send_outs if item.source is Source.PATTERN}
    assert lent == {"S03", "S03/2", "S04", "S09"}


def test_actual_dates_contradict_the_links_only_where_the_shop_worked_out_of_order() -> None:
    one_day = 1440
    found = set()
    for link in dates().prepared.expansion.links:
        before, after = (
            dates().activities[dates().number(one)] for one in (link.before, link.after)
        )
        if after.started is None:
            continue
        if before.finished is None or before.finished > after.started + one_day:
            found.add((link.before, link.after))
    assert found == {("M05.bow.3", "F04.1")}


def test_work_was_done_on_days_when_its_person_was_there() -> None:
    for task in plan().tasks:
        if task.status.started is None or task.calendar not in {"c1", "c2", "c3", "x1"}:
            continue
        week = next(one for one in plan().calendars if one.id == task.calendar).week_hours
        assert week[task.status.started.weekday()] > 0, task.id
        if task.status.finished is not None:
            assert week[task.status.finished.weekday()] > 0, task.id


def test_status_rows_end_on_the_dates_the_shop_wrote_down() -> None:
    """Spot values from the shop's summary: first start and last finish of a row."""
    by_id = tasks()
    assert by_id["F53.1"].status.started == date(2026, 3, 9)
    assert by_id["F53.1"].status.finished == date(2026, 3, 13)
    assert by_id["O02"].status.finished == date(2026, 7, 24)
    assert by_id["O03"].status.finished == date(2026, 9, 11)
    assert by_id["M05.tail.3"].status.finished == date(2026, 5, 22)
    held = {task.id: task.status.held_reason for task in by_id.values() if task.status.held_reason}
    assert held == {"F57.3": "castings away", "F39.2": "timber not here"}
    in_work = {task.id for task in by_id.values() if task.status.state is State.IN_WORK}
    assert in_work == {"F38.3", "F60.2", "F19.3", "F34.2", "F43.2", "F58.2", "F51"}


@pytest.mark.parametrize(
    ("task", "remaining_days"),
    [
        # 96 h used less 9 and 18 for two steps: 69 of likely 60, high 110: (110 - 69) / 2
        # = 20.5 h at 6 h x 0.70 a day
        ("F38.3", 5.0),
        # 138 h less 36 and 30: 72 of 84, so 12 h at 8 h x 0.60
        ("F19.3", 2.5),
        # 71 h less 46: 25 of 92, so 67 h at 6 h x 0.65
        ("F60.2", 17.25),
        # 4 h of 14: 10 h at 8 h x 0.60
        ("F51", 2.125),
    ],
)
def test_remaining_work_follows_from_the_hours_used(task: str, remaining_days: float) -> None:
    remaining = tasks()[task].status.remaining
    assert remaining == remaining_days * 1440


@pytest.mark.parametrize(
    ("task", "days"),
    [
        ("F57.1", 4.5),  # two legs of 9 h, 8 h x 0.50
        ("F37.2", 5.5),  # 32 h, one fabric worker of the two asked for, 7 h x 0.85
        ("F62.2", 11.75),  # 35 m2 of 1.2 h, 6 h x 0.60, rounded up from 11.67
        ("F37.6", 5),  # 120 h on the clock
        ("M33.2", 1.25),  # 10 h of the pilot, 8 h a day
    ],
)
def test_durations_come_from_hours_people_and_share(task: str, days: float) -> None:
    assert tasks()[task].duration == days * 1440


def overlaps(
    dates: Schedule, trades: tuple[str, ...], states: frozenset[State] = frozenset(State)
) -> list[tuple[str, str]]:
    """Return which tasks of one person follow each other with an overlap."""
    spans = sorted(
        (int(dates.begin[number]), int(dates.finish[number]), task.id)
        for task in dates.prepared.plan.tasks
        if task.trade in trades and task.status.state in states
        for number in (dates.number(task.id),)
    )
    assert len(spans) > 5
    return [(one[2], other[2]) for one, other in pairwise(spans) if other[0] < one[1]]


def test_single_pairs_of_hands_do_one_thing_at_a_time() -> None:
    """Open work of one person does not overlap, but for what is under way already."""
    still_to_begin = frozenset({State.NOT_STARTED, State.HELD})
    for trades in (("metal", "paint"), ("engine",), ("fabric",), ("wood",), ("elec",)):
        assert overlaps(dates(), trades, still_to_begin) == []


def test_build_coats_of_dope_wait_for_the_dry_half_of_the_year() -> None:
    winter = date(2026, 11, 1)
    days = (date(2027, 4, 1) - winter).days
    for task in ("F37.5", "F42.5", "F40.3", "F45.3"):
        calendar = next(one for one in plan().calendars if one.id == tasks()[task].calendar)
        assert not ticks_per_date(calendar, winter.toordinal(), days).any(), task
        assert ticks_per_date(calendar, winter.toordinal() + days, 30).any(), task


def test_hold_points_and_buy_offs_say_what_they_want_to_see() -> None:
    """Counted from the cards' own table: each flagged step of each job is one check."""
    flags = {
        (row["card"], int(row["n"])): row["f"] for row in rows(texts()["method_steps"]) if row["f"]
    }
    kinds = {"H": "hold", "B": "buy_off", "W": "witness"}
    evidence = {row["card"]: row["evidence_or_hold"] for row in rows(texts()["method_cards"])}
    wanted = {
        job.task(work.step.number): (kinds[flag], evidence[job.card.id])
        for job in jobs()
        for work in job.works
        if job.card
        and work.step
        and (flag := flags.get((job.card.id, work.step.number), "E")) in kinds
    }
    found = {task.id: (task.check.kind, task.check.wants) for task in plan().tasks if task.check}
    assert found == wanted
    assert len(found) > 80


def test_every_hazard_tag_has_a_caution() -> None:
    cautions = {row["tag"]: row["caution"] for row in rows(texts()["hazards"])}
    used = {tag for task in plan().tasks for tag in task.hazards}
    assert len(used) > 15
    assert all(cautions[tag] for tag in used)


def test_what_was_paid_is_kept_to_the_cent() -> None:
    """Each row of the payments is one payment of the plan, in its own currency."""
    written = Counter(
        (row["date"], Decimal(row["amount"]), row["currency"]) for row in rows(texts()["payments"])
    )
    kept = Counter(
        (payment.on.isoformat(), payment.amount, line.currency)
        for line in plan().costs
        for payment in line.payments
    )
    assert kept == written


def test_each_order_is_one_line_that_remembers_what_it_was() -> None:
    lines = {line.send_out: line for line in plan().costs if line.send_out}
    ordered = [row["send_out"] for row in rows(texts()["send_outs"])]
    assert sorted(one for one in lines if one) == sorted(ordered)
    engine = lines["S01"]
    assert [f"{step.state} {step.amount}" for step in engine.earlier] == [
        "estimate 31000", "quoted 38400", "ordered 38400",
    ]  # fmt: skip
    assert (engine.state, engine.on) == ("ordered", date(2026, 8, 28))
    assert engine.amount == 46_900, "what is agreed last"
    assert [f"{due.percent} {due.at} {due.days}" for due in engine.dues] == [
        "30 order 0", "40 approved 0", "30 accepted 45",
    ]  # fmt: skip
    assert lines["S05"].state == "paid"
    assert [step.state for step in lines["S05"].earlier] == ["estimate", "quoted", "ordered"]
    assert lines["S04"].state == "estimate"


def test_what_was_paid_for_material_is_booked_where_material_was_budgeted() -> None:
    """With what is still to be bought, no chapter is more than 3 % over its material."""
    budget = {row["chapter"]: int(row["material"]) for row in rows(texts()["budget"])}
    spent: Counter[str | None] = Counter()
    for line in plan().costs:
        if line.kind == "material" and line.task not in {"O02", "O03", "O04", "O05"}:
            spent[line.chapter] += int(line.amount)
    paid = [row for row in rows(texts()["payments"]) if row["for"] == "material"]
    assert sum(int(row["amount"]) for row in paid) == 11_820
    assert len({row["chapter"] for row in paid}) > 10
    for chapter, amount in spent.items():
        assert amount <= 1.03 * budget[chapter or ""], chapter


def test_first_batch_of_the_plating_is_compared_with_its_own_estimate() -> None:
    """The first price was that of all three batches: the other two are a line of their own."""
    plating = next(line for line in plan().costs if line.send_out == "S07")
    rest = next(line for line in plan().costs if line.id == "S07-rest")
    assert {step.amount for step in plating.earlier} == {plating.amount}
    assert plating.amount + rest.amount == 1450


def test_orders_are_charged_to_chapters_that_have_money_for_vendors() -> None:
    budget = {row["chapter"] for row in rows(texts()["budget"]) if row["vendor"] != "0"}
    assert {line.chapter for line in plan().costs if line.kind == "vendor"} <= budget


def test_first_estimates_are_the_vendor_money_of_the_budget() -> None:
    """At the first rates; the budget rounds each chapter to ten."""
    rates = {"EUR": "1"} | rows(texts()["fx"])[0]
    due: dict[str, Decimal] = {}
    for row in rows(texts()["send_outs"]):
        worth = Decimal(row["first_price"]) * Decimal(rates[row["currency"]])
        due[row["chapter"]] = due.get(row["chapter"], Decimal(0)) + worth
    for row in rows(texts()["budget"]):
        if row["chapter"] in due:
            assert abs(due[row["chapter"]] - int(row["vendor"])) <= 10, row["chapter"]


def test_hours_of_each_row_come_to_what_the_shop_wrote_down() -> None:
    """A row's tasks are its own, but for those that two rows speak of."""
    written = sum(Decimal(row["hours_used"]) for row in rows(texts()["task_status"]))
    assert sum(entry.hours for entry in plan().hours) == written == 1405
    spent: dict[str, Decimal] = {}
    for entry in plan().hours:
        job = entry.task.partition(".")[0]
        spent[job] = spent.get(job, Decimal(0)) + entry.hours
    assert [int(spent[job]) for job in ("F38", "M02", "F32")] == [96, 44, 71]
    assert spent["F19"] == 138


def test_nobody_worked_round_the_clock_and_only_who_has_the_trade() -> None:
    day: dict[tuple[str, date], Decimal] = {}
    trades: dict[str, set[str]] = {}
    for one in plan().crew:
        trades.setdefault(one.label, set()).add(one.trade)
    for entry in plan().hours:
        cell = entry.label, entry.on
        day[cell] = day.get(cell, Decimal(0)) + entry.hours
        assert tasks()[entry.task].trade in trades[entry.label], entry.id
    assert max(day.values()) <= 12


def test_first_baseline_is_the_budget_without_what_is_kept_back() -> None:
    (first,) = plan().baselines
    kept_back = next(line.amount for line in plan().budget if line.kind == "contingency")
    assert sum(package.amount for package in first.packages) == 305_000 - kept_back
    assert (first.approved_on, first.reason) == (date(2026, 1, 12), "First plan as agreed")
    assert min(package.start for package in first.packages) == date(2026, 1, 12)
    ids = {package.id for package in first.packages}
    assert not ids & {"O02", "O03", "O04", "O05", "S03/2"}
    assert {item.id for item in plan().send_outs if not item.trip_of} <= ids


def test_first_plan_is_the_plan_before_anything_happened() -> None:
    made = first_plan(texts(), jobs(), build_plan(texts()))
    assert made.project.as_of == made.project.start
    assert {task.status.state for task in made.tasks} == {State.NOT_STARTED}
    assert len(made.tasks) == len(plan().tasks) - 4
    assert schedule(made).finish_on == plan().baselines[0].finish


def test_first_plan_gives_nobody_two_things_to_do_at_once() -> None:
    dates = schedule(first_plan(texts(), jobs(), build_plan(texts())))
    for trades in (("metal", "paint"), ("engine",), ("fabric",), ("wood",), ("elec",), ("insp",)):
        assert overlaps(dates, trades) == []


def test_one_item_waits_for_the_owners_and_costs_nothing_yet() -> None:
    waiting = [item for item in plan().over_and_above if item.state == "waiting"]
    assert [f"{one.id} {one.amount} {one.currency}" for one in waiting] == ["O07 1550 CAD"]
    propeller = next(line for line in plan().costs if line.send_out == "S02")
    assert propeller.amount == 9650
    assert len(plan().over_and_above) == 7


def test_nine_owners_pay_every_month() -> None:
    assert len(plan().funding) == 9
    assert {one.every_months for one in plan().funding} == {1}
    assert plan().project.balance_on == plan().project.as_of


def test_planned_hours_at_the_crews_rates_come_to_the_budgeted_labour() -> None:
    """The budget is the scenario's own list; days are rounded up, so a little more is due."""
    rates = {one.trade: one.rate or 0 for one in reversed(plan().crew)}
    hours = {one.id: one.day_hours for one in plan().calendars}
    first_plan = {
        work.id for job in jobs() if not is_extra(job) for work in job.works if work.trade
    }
    cost = sum(
        float(rates[task.trade or ""]) * hours[task.calendar or ""] * task.people * task.duration
        for task in plan().tasks
        if task.id in first_plan
    )
    budget = sum(int(row["labour"]) for row in rows(texts()["budget"]))
    assert budget <= cost / 1440 <= 1.02 * budget


def test_standing_cost_is_what_was_paid_by_the_month() -> None:
    """Nine months from January to September; the budget is for twenty."""
    paid = [row for row in rows(texts()["payments"]) if row["for"] == "standing"]
    budget = next(row for row in rows(texts()["budget"]) if row["chapter"] == "91")
    assert len(paid) == 9
    assert {Decimal(row["amount"]) for row in paid} == {plan().project.standing_per_month}
    assert plan().project.standing_per_month == Decimal(budget["vendor"]) / 20


def test_every_currency_that_is_owed_has_a_rate() -> None:
    known = {one.currency for one in plan().exchange_rates}
    assert known == {line.currency for line in plan().costs} - {"EUR"}
    assert len(plan().exchange_rates) == 2 * len(known)


def test_every_kind_of_send_out_and_of_past_job_is_known() -> None:
    known = {one.id: one for one in plan().kinds}
    assert {item.kind for item in plan().send_outs} <= set(known)
    assert {job.kind for vendor in plan().vendors for job in vendor.history} <= set(known)
    assert (known["casting"].over_median, known["casting"].over_p90) == (1.6, 2.6)
    assert (known["engine"].growth_median, known["engine"].growth_p90) == (1.2, 1.6)
    most_rejected = sorted(known, key=lambda kind: -known[kind].rejected)
    assert set(most_rejected[:2]) == {"casting", "glazing"}


def test_past_promises_lie_between_the_quote_and_a_little_after_the_end() -> None:
    past = [job for vendor in plan().vendors for job in vendor.history]
    promised = [job for job in past if job.promised_days is not None]
    assert len(promised) >= 30
    assert sum(job.trips > 1 for job in past) == 3
    prices = [(float(job.quoted_price or 0), float(job.final_price or 0)) for job in past]
    grown = [final / first for first, final in prices]
    assert 1.1 < sorted(grown)[len(grown) // 2] < 1.2
    assert (min(grown), max(grown)) == pytest.approx((0.9796, 1.4551), abs=1e-4)
    for job in promised:
        assert min(job.quoted_days, job.actual_days) <= (job.promised_days or 0)
        assert (job.promised_days or 0) <= job.actual_days + 3
    kept = sum(job.actual_days <= (job.promised_days or 0) for job in promised)
    assert 0.4 <= kept / len(promised) <= 0.7


@pytest.mark.parametrize(
    ("zone", "percent", "opened_by"),
    [
        # (36 h at 25 + 76 at 60 + 5 at 40 + 5.7 at 10 + 2 at 5 + 8 at 35) / 132.7 h
        ("bow", 45, "M05.bow.3"),
        # (110 h at 35 + 31.75 at 25) / 157.75 h: of the other 16 h the bolts are back
        ("floats", 29, None),
        # (16 h at 10 + 51 at 25) / 175.5 h still to be begun
        ("pylon", 8, None),
        ("gear", 0, None),
        ("whole", 0, None),
    ],
)
def test_zones_hide_what_the_grades_of_their_findings_allow(
    zone: str, percent: float, opened_by: str | None
) -> None:
    found = next(one for one in plan().zones if one.id == zone)
    assert (found.hidden_work_percent, found.opened_by) == (percent, opened_by)


def test_zones_with_bays_are_open_so_that_nothing_is_added_there() -> None:
    opened = [zone.opened_by for zone in plan().zones if zone.opened_by]
    assert len(opened) == 7
    assert {tasks()[task].status.state for task in opened} == {State.DONE}


def test_every_job_of_a_card_has_one_risk() -> None:
    assert [risk.id for risk in plan().risks] == [f"R-{job.id}" for job in jobs() if job.card]
    done = {task.id for task in plan().tasks if task.status.state is State.DONE}
    accepted = {item.id for item in plan().send_outs if item.status.accepted}
    happened = {f"R-{row['ref']}" for row in rows(texts()["risks_over"])}
    for risk in plan().risks:
        over = risk.task in done or risk.send_out in accepted or risk.id in happened
        assert risk.closed == over, risk.id
    assert sum(not risk.closed for risk in plan().risks) == 35


@pytest.mark.parametrize(
    ("risk_id", "falls_on", "probability", "days"),
    [
        ("R-M28", "M28.1", 0.35, (4.25,) * 3),  # 20 h at 8 h x 0.60
        ("R-M32", "M32.1", 0.35, (2,) * 3),  # two weeks of one Friday each
        ("R-M33", "M33.3", 0.7, (5,) * 3),  # a week of the mechanic
        ("R-F30", "F30.3", 0.3, (12.5, 32.5, 52.5)),  # 60 h, and nothing, 4 or 8 weeks
        ("R-F37", "F37.5", 0.4, (3,) * 3),  # a week of the fabric worker's three days
        ("R-F48", "F48.5", 0.3, (2.125,) * 3),  # a quarter of 40 h
        # six patches at 0.15: at least one 0.62; 15 h, 15 h, 3 x 15 h
        ("R-F52", "F52.2", 0.62, (3.125, 3.125, 9.375)),
        ("R-F56", "S02", 0.2, (70,) * 3),  # 14 weeks of the vendor
        ("R-F61", "F61.3", 0.3, (2,) * 3),  # a tenth of 46 x 2.05 h
        ("R-F39", "S12", 0.35, (30, 45, 60)),  # 6 to 12 weeks
    ],
)
def test_impacts_of_the_cards_become_days_of_the_calendar(
    risk_id: str, falls_on: str, probability: float, days: tuple[float, float, float]
) -> None:
    risk = next(one for one in plan().risks if one.id == risk_id)
    assert falls_on in {risk.task, risk.send_out}
    assert risk.probability == probability
    span = risk.impact_range or (risk.impact,) * 3
    assert tuple(one / 1440 for one in span) == days


def test_risk_that_happened_to_an_unknown_job_is_refused_by_name() -> None:
    wrong = texts() | {"risks_over": texts()["risks_over"] + "F99,2026-02-01,nothing\n"}
    with pytest.raises(KeyError, match="F99"):
        build_plan(wrong)


def test_the_guide_shows_the_figures_the_program_computes() -> None:
    page = (ROOT / "docs" / "guide" / "demo.md").read_text(encoding="utf-8")
    assert into_page(page, figures(plan())) == page


def test_status_of_an_unknown_job_is_refused_by_name() -> None:
    wrong = texts() | {"task_status": texts()["task_status"] + "F99,done,2026-02-01,2026-02-02,1\n"}
    with pytest.raises(KeyError, match="F99"):
        build_plan(wrong)


def test_order_of_work_with_an_unknown_task_is_refused_by_name() -> None:
    wrong = texts() | {"order_of_work": texts()["order_of_work"] + "paint,F61.1 F61.9,none\n"}
    with pytest.raises(KeyError, match=r"F61\.9"):
        build_plan(wrong)


def test_every_expedite_hurries_something_that_is_still_open() -> None:
    done = {task.id for task in plan().tasks if task.status.state in (State.DONE, State.DROPPED)}
    legs_gone = {
        item.id for item in plan().send_outs if item.status.left_vendor or item.status.accepted
    }
    found = plan().expedites
    assert 15 <= len(found) <= 22
    assert {one.kind.value for one in found} >= {
        "overtime", "second_shift", "fee", "air_freight", "exchange_unit", "other",
    }  # fmt: skip
    for one in found:
        assert one.taken == 0
        assert one.task not in done
        assert one.send_out not in legs_gone


def test_hurried_hours_cost_at_least_time_and_a_half() -> None:
    """Hours of a day that reach the project, by hand from crew.csv: 4.8 at 48, 4 at 46 or 85."""
    least = {"metal": Decimal("345.6"), "paint": Decimal("345.6"), "engine": Decimal(276)}
    for one in plan().expedites:
        trade = tasks()[one.task].trade if one.task else None
        if trade in least:
            assert one.by_the_day
            assert one.cost >= least[trade] - 1


def test_an_expedite_of_nothing_is_refused() -> None:
    wrong = {**texts(), "expedites": texts()["expedites"].replace("F47", "F447")}
    with pytest.raises(KeyError, match=r"expedites\.csv speaks of F447"):
        build_plan(wrong)


def test_places_are_taken_one_at_a_time_as_the_plan_stands() -> None:
    """Each place of the shop has room for one; today's order of the crew respects that."""
    current = dates()
    taken: dict[str, list[tuple[int, int, str]]] = {}
    for task in plan().tasks:
        if task.status.state is State.DONE:
            continue
        number = current.number(task.id)
        span = int(current.start[number]), int(current.finish[number]), task.id
        for place in task.places:
            taken.setdefault(place, []).append(span)
    assert {place: len(spans) for place, spans in taken.items()} == {
        "dry-bay": 7, "wing-jig": 8, "hull-cradle": 6,
    }  # fmt: skip
    for spans in taken.values():
        for (_, finish, one), (start, _, other) in pairwise(sorted(spans)):
            assert finish <= start, f"{one} and {other}"


def test_a_place_that_is_not_there_is_refused() -> None:
    wrong = {**texts(), "place_use": texts()["place_use"].replace("wing-jig", "wing-jug")}
    with pytest.raises(KeyError, match=r"place_use\.csv speaks of wing-jug"):
        build_plan(wrong)


def test_the_order_of_the_levelled_demo_asks_nobody_for_two_things_at_once() -> None:
    """Six tasks are in work for three people: taken on, the order has them one by one."""
    plan = parse_plan(PLAN_FILE.read_bytes(), str(PLAN_FILE))
    levelled = level_plan(plan, seconds=0, clock=time.monotonic)
    kept = schedule(replace(plan, crew_links=crew_links(levelled)))
    assert kept.finish_on == levelled.finish_on
    assert [one for one in crew_loads(kept) if one.over] == []
    assert rota(kept, AS_OF, kept.finish_on).unassigned == ()


def test_everything_that_reads_the_demo_counts_its_crew_links_like_plain_ones() -> None:
    """Dates, grace, late curves, drawn courses and cases are those of the same plain links."""
    crewed = parse_plan(PLAN_FILE.read_bytes(), str(PLAN_FILE))
    found = schedule(crewed)
    in_force = found.prepared.expansion.crew_links
    plain = tuple(Link(one.before, one.after) for one in in_force)
    linked = replace(crewed, crew_links=(), links=(*crewed.links, *plain))
    other = schedule(linked)
    assert found.finish.tolist() == other.finish.tolist()
    assert found.critical_path == other.critical_path
    assert found.finish_on > schedule(replace(crewed, crew_links=())).finish_on
    assert send_out_grace(found) == send_out_grace(other)
    assert vendor_grace(found) == vendor_grace(other)
    for legs in found.prepared.expansion.open_legs.values():
        assert late_curve(found, [legs.slip], 60) == late_curve(other, [legs.slip], 60)
    drawn = [simulate(one, runs=300).ordered_finish.tolist() for one in (crewed, linked)]
    assert drawn[0] == drawn[1]
    case = [TaskDropped("F19.4")]
    mine_case, their_case = (apply_changes(one, case).plan for one in (crewed, linked))
    assert schedule(mine_case).finish_on == schedule(their_case).finish_on
