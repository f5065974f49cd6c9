"""
What the demo plan shows, as Markdown.

``python -m ribstitch.seeding.figures PLAN PAGE`` writes the figures into a page.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from ribstitch.planfile import read_plan_file
from ribstitch.planning.grace import send_out_grace, vendor_grace
from ribstitch.planning.levelling import crew_links, level_plan
from ribstitch.planning.levelling.waits import crew_waits
from ribstitch.planning.model import Milestone, Plan, State
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at
from ribstitch.planning.uncertainty import find_causes, simulate
from ribstitch.planning.whatif import Change, ExtraDays, VendorLate, apply_changes

_FABRIC = ExtraDays("c3", 4, date(2026, 10, 9), date(2027, 6, 30), 5.95)
_METAL = ExtraDays("c1", 5, date(2026, 10, 9), date(2027, 8, 31), 4.8)
_INSPECTOR = ExtraDays("x1", 2, date(2027, 9, 1), date(2028, 3, 31), 4)

CASES: tuple[tuple[str, tuple[Change, ...]], ...] = (
    ("Engine (V01) 30 working days later", (VendorLate("V01", 30),)),
    ("Engine (V01) 90 working days later", (VendorLate("V01", 90),)),
    ("Castings (V09) 30 working days later", (VendorLate("V09", 30),)),
    ("Spar timber (V12) 30 working days later", (VendorLate("V12", 30),)),
    ("Fabric worker on Fridays too, until June 2027", (_FABRIC,)),
    ("Metalworker on Saturdays too, until August 2027", (_METAL,)),
    ("Inspector on Wednesdays too, from September 2027", (_INSPECTOR,)),
    ("Fabric worker and metalworker", (_FABRIC, _METAL)),
    ("All three", (_FABRIC, _METAL, _INSPECTOR)),
)
"""What-if cases worth a line, by what they say."""

LONGEST_WAITS = 6
"""So many of them are worth a line."""

BEGIN, END = "<!-- figures: begin -->\n", "<!-- figures: end -->\n"
"""Marks in a page between which the figures stand."""


def figures(plan: Plan) -> str:
    """Return the figures of a plan as Markdown."""
    result = schedule(plan)
    parts = [
        _facts(plan, result),
        _chances(plan),
        _milestones(plan, result),
        _critical_path(plan, result),
        _crew(plan, result),
        _trades(plan, result),
        _send_outs(plan, result),
        _vendors(plan, result),
        _cases(plan, result),
    ]
    return "\n\n".join(parts) + "\n"


def _table(head: Sequence[str], body: Iterable[Sequence[object]]) -> str:
    lines = [head, ["---"] * len(head), *body]
    return "\n".join("| " + " | ".join(str(cell) for cell in line) + " |" for line in lines)


def _facts(plan: Plan, result: Schedule) -> str:
    states = {state: sum(1 for task in plan.tasks if task.status.state is state) for state in State}
    first_flight = result.start_on(result.number("first_flight"))
    target = plan.project.target_finish or first_flight
    return _table(
        ("figure", "value"),
        [
            ("As-of date", plan.project.as_of),
            ("Tasks and milestones", len(plan.tasks)),
            ("of these done", states[State.DONE]),
            ("in work", states[State.IN_WORK]),
            ("held", states[State.HELD]),
            ("Links", len(plan.links)),
            ("Crew links", len(plan.crew_links)),
            ("Send-outs and further trips", len(plan.send_outs)),
            ("Vendors", len(plan.vendors)),
            ("Risks", len(plan.risks)),
            ("of these open", sum(1 for risk in plan.risks if not risk.closed)),
            ("Ways to buy days", len(plan.expedites)),
            ("Wanted first flight", target),
            ("**First flight**", f"**{first_flight}**"),
            ("Later than wanted, days", (first_flight - target).days),
            ("**Project finish**", f"**{result.finish_on}**"),
        ],
    )


def _chances(plan: Plan) -> str:
    """Return how sure the dates are, and what makes them uncertain."""
    found = simulate(plan)
    finish, flight = found.finish_spread, found.spread_of("first_flight")
    target = plan.project.target_finish or finish.p50
    rows = [
        ("Project finish", finish.p10, f"**{finish.p50}**", f"**{finish.p80}**", finish.p90),
        ("First flight", flight.p10, flight.p50, flight.p80, flight.p90),
    ]
    names = {task.id: task.name for task in plan.tasks} | {
        one.id: one.name for group in (plan.zones, plan.risks, plan.send_outs) for one in group
    }
    causes = [
        (one.kind.replace("_", "-"), names.get(one.id, one.id), f"{one.gain_days:.0f}")
        for one in find_causes(plan)
        if one.kind != "vendor"
    ]
    kept = 100 * found.chance_by(target).probability
    sure = (
        f"How sure that is ({found.runs:,} courses, seed {found.seed}): the wanted date, "
        f"{target}, is kept in {kept:.1f} of 100 courses."
    )
    gained = (
        "What makes the finish uncertain, in days it would come sooner on average if one "
        "thing went exactly as planned:"
    )
    dates = _table(("what", "1 in 10 by", "likely", "8 in 10 by", "9 in 10 by"), rows)
    return "\n\n".join((sure, dates, gained, _table(("what", "name", "days"), causes[:12])))


def _milestones(plan: Plan, result: Schedule) -> str:
    rows = [
        (
            task.name,
            result.start_on(number)
            if task.milestone is Milestone.START
            else result.finish_on_of(number),
        )
        for task in plan.tasks
        if task.milestone is not None
        for number in (result.number(task.id),)
    ]
    return "Milestones:\n\n" + _table(("milestone", "date"), rows)


def _critical_path(plan: Plan, result: Schedule) -> str:
    """Return the chain that sets the finish, a line for each stretch of one trade."""
    trades = {task.id: task.trade or "(milestone, or curing)" for task in plan.tasks}

    def trade(number: int) -> str:
        return trades.get(result.activities[number].id, "(vendor or road)")

    rows = []
    for name, group in groupby(result.critical_path, key=trade):
        stretch = list(group)
        first, last = stretch[0], stretch[-1]
        rows.append(
            (
                name,
                result.activities[first].id,
                result.activities[last].id,
                len(stretch),
                result.start_on(first),
                result.finish_on_of(last),
            )
        )
    head = ("trade", "from task", "to task", "tasks", "start", "finish")
    return f"Critical path, {len(result.critical_path)} links long:\n\n" + _table(head, rows)


def _crew(plan: Plan, result: Schedule) -> str:
    """Return what waiting for hands costs, and who waits longest."""
    levelled = level_plan(plan, seconds=0, clock=time.monotonic)
    unlimited = levelled.planned.finish_on
    rows = [
        ("with hands for everything", 0, unlimited),
        ("in the order of work as written", len(plan.crew_links), result.finish_on),
        ("levelled, as it stands at once", len(crew_links(levelled)), levelled.finish_on),
    ]
    names = {task.id: task.name for task in plan.tasks}
    waits = [
        (
            names[one.link.after],
            names[one.link.before],
            ", ".join(one.link.names),
            date_at(one.since),
            date_at(one.until),
            one.days,
            "yes" if one.on_path else "",
        )
        for one in crew_waits(result)[:LONGEST_WAITS]
    ]
    finishes = _table(
        ("the plan", "crew links", "finish", "waiting for hands costs, days"),
        [(name, links, finish, (finish - unlimited).days) for name, links, finish in rows],
    )
    head = (
        "this waits",
        "for this to be done",
        "hands",
        "could begin",
        "begins",
        "days",
        "on the path",
    )
    return (
        f"What the crew costs:\n\n{finishes}\n\n"
        f"The longest waits for hands, in the order as written:\n\n{_table(head, waits)}"
    )


def _trades(plan: Plan, result: Schedule) -> str:
    """Return for each trade how many days its tightest open task can slip."""
    spare: dict[str, tuple[int, str]] = {}
    last: dict[str, date] = {}
    for task in plan.tasks:
        if task.trade is None or not task.status.state.is_open:
            continue
        number = result.number(task.id)
        finish = result.finish_on_of(number)
        slack = (result.late_finish_on(number) - finish).days
        spare[task.trade] = min(spare.get(task.trade, (slack, task.id)), (slack, task.id))
        last[task.trade] = max(last.get(task.trade, finish), finish)
    rows = [
        (trade, task, slack, last[trade])
        for trade, (slack, task) in sorted(spare.items(), key=lambda item: item[1])
    ]
    head = ("trade", "tightest open task", "can finish later by, days", "last task ends")
    return "Where it is tight (calendar days between early and late finish):\n\n" + _table(
        head, rows
    )


def _send_outs(plan: Plan, result: Schedule) -> str:
    items = {item.id: item for item in plan.send_outs}
    rows = [
        (
            one.id,
            items[one.id].name,
            items[one.id].status.promised or "none",
            f"{one.grace / TICKS_PER_DAY:.1f}",
            one.need_by,
            one.last_safe_ship or "shipped",
        )
        for one in send_out_grace(result)
    ]
    head = ("send-out", "item", "promised", "grace, working days", "need-by", "last safe ship date")
    return "Open send-outs:\n\n" + _table(head, rows)


def _vendors(plan: Plan, result: Schedule) -> str:
    names = {vendor.id: vendor.name for vendor in plan.vendors}
    rows = [
        (one.id, names[one.id], ", ".join(one.send_outs), f"{one.grace / TICKS_PER_DAY:.1f}")
        for one in sorted(vendor_grace(result), key=lambda one: one.grace)
    ]
    head = ("vendor", "name", "open send-outs", "grace, working days")
    return "Vendors, the tightest first:\n\n" + _table(head, rows)


def _cases(plan: Plan, result: Schedule) -> str:
    rows = [
        (name, finish, (finish - result.finish_on).days) for name, finish in _case_finishes(plan)
    ]
    return "What if:\n\n" + _table(("case", "finish", "moved, days"), rows)


def _case_finishes(plan: Plan) -> Iterator[tuple[str, date]]:
    for name, changes in CASES:
        yield name, apply_changes(plan, changes).schedule().finish_on
    yield "Engine (V01) 30 days earlier than promised", schedule(_engine_early(plan)).finish_on


def _engine_early(plan: Plan) -> Plan:
    """Return the plan with the engine promised 30 days earlier: money to hurry it."""
    items = tuple(
        replace(
            item,
            status=replace(item.status, promised=item.status.promised - timedelta(days=30)),
        )
        if item.vendor == "V01" and item.status.promised is not None
        else item
        for item in plan.send_outs
    )
    return replace(plan, send_outs=items)


def into_page(page: str, text: str) -> str:
    """
    Return a page with the figures put between its marks.

    Raises
    ------
    ValueError
        If the page has no such marks.
    """
    before, _, rest = page.partition(BEGIN)
    _, mark, after = rest.partition(END)
    if not mark:
        raise ValueError(f"the page has no place for figures between {BEGIN!r} and {END!r}")
    return f"{before}{BEGIN}\n{text}\n{END}{after}"


def main() -> None:
    """Compute a plan's figures and write them into a page."""
    plan, page = Path(sys.argv[1]), Path(sys.argv[2])
    text = into_page(page.read_text(encoding="utf-8"), figures(read_plan_file(plan)))
    page.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
