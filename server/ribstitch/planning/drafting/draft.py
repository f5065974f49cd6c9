"""From an evaluation to a plan: everything that the planner drafts, at one go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ribstitch.planning.drafting.crates import Crates, crates_of
from ribstitch.planning.drafting.ends import ByHand, tie_ends
from ribstitch.planning.drafting.hands import Hands
from ribstitch.planning.drafting.hidden_work import zones_of
from ribstitch.planning.drafting.jobs import Job, list_jobs
from ribstitch.planning.drafting.links import ties_of
from ribstitch.planning.drafting.material import allowances_of
from ribstitch.planning.drafting.order import Order
from ribstitch.planning.drafting.problems import Problem
from ribstitch.planning.drafting.risks import risks_of
from ribstitch.planning.drafting.tasks import TaskMaker
from ribstitch.planning.drafting.vendors import Offers
from ribstitch.planning.model import Cost, Link, Plan, Risk, SendOut, Task, Zone, link_key


@dataclass(frozen=True, slots=True)
class Assumptions:
    """What is assumed until the shop knows better; all of it from memory."""

    hidden_percent: Mapping[int, int]
    """Allowance for work not seen yet, by condition grade. [% of the hours]"""
    material: Mapping[str, int]
    """Cost of materials for each unit, by class. [project's currency]"""


@dataclass(frozen=True, slots=True)
class Drafted:
    """What the planner makes of an evaluation: nothing has begun, nothing is known of it."""

    zones: tuple[Zone, ...]
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    send_outs: tuple[SendOut, ...]
    risks: tuple[Risk, ...]
    costs: tuple[Cost, ...]
    reasons: Mapping[str, str]
    """Why each link is there, by its key."""
    asked: Mapping[str, str]
    """Why its vendor is asked, by send-out."""
    problems: tuple[Problem, ...]


def draft_plan(plan: Plan, assumptions: Assumptions) -> Drafted:
    """
    Draft the plan that the findings, the cards and the standing jobs of a plan ask for.

    The same plan gives the same draft, in the same order. Nothing of the plan is changed:
    how the draft gets into it is for `merge`.

    Parameters
    ----------
    plan
        With its evaluation, zones, crew, places, calendars, vendors and kinds. Of what is
        planned already only this counts: links and send-outs made by hand (what they tie
        is no loose end), material of the shop's own, and what has begun (its findings hide
        nothing any more).
    assumptions
        Allowances.
    """
    marks = {one.id: dict(one.marks) for one in plan.drafts}
    jobs, problems = list_jobs(plan)
    order, hands, offers = Order(plan, jobs), Hands(plan), Offers(plan)
    maker = TaskMaker(plan, hands)
    ties = ties_of(jobs, order)
    crates = crates_of(jobs, order, offers, ties)
    ends = tie_ends(jobs, order, ties, crates.send_outs, _by_hand(plan, marks))
    ties |= ends.ties
    links = {link_key(*pair): Link(*pair) for pair in ties}
    return Drafted(
        zones=zones_of(plan, jobs, order, assumptions.hidden_percent),
        tasks=(*(maker.task(job, work) for job in jobs for work in job.works), *ends.milestones),
        links=tuple(links.values()),
        send_outs=ends.send_outs,
        risks=risks_of(plan, jobs, hands, _vendors(crates)),
        costs=allowances_of(plan, jobs, assumptions.material, marks.get("cost", {})),
        reasons=dict(zip(links, ties.values(), strict=True)),
        asked={one.id: who.why for one in crates.send_outs if (who := offers.vendor(one.kind))},
        problems=(*problems, *crates.problems, *offers.problems(), *_without_hands(jobs, hands)),
    )


def _by_hand(plan: Plan, marks: Mapping[str, Mapping[str, str]]) -> ByHand:
    """Return what is tied in a plan, still stands and does not come from an earlier draft."""
    links, items = marks.get("link", {}), marks.get("send_out", {})
    return ByHand(
        tuple(
            one for one in plan.links if link_key(one.before, one.after, one.relation) not in links
        ),
        tuple(one for one in plan.send_outs if one.id not in items and not one.dropped),
    )


def _vendors(crates: Crates) -> dict[str, tuple[str, str]]:
    """Return the send-out and the vendor of each job whose item leaves."""
    vendor = {item.id: item.vendor for item in crates.send_outs}
    return {job: (item, vendor[item]) for job, item in crates.by_job.items()}


def _without_hands(jobs: tuple[Job, ...], hands: Hands) -> tuple[Problem, ...]:
    """Return the trades that work needs and nobody has."""
    trades = dict.fromkeys(
        work.trade for job in jobs for work in job.works if not hands.has(work.trade)
    )
    return tuple(
        Problem(None, f'Nobody in the crew has the trade "{trade}": its days are reckoned with as '
                "many people as its work asks for, on the shop's calendar.")
        for trade in trades
    )  # fmt: skip
