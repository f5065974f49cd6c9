"""Plan health: what the checks count, the worst first, with whom to look at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ribstitch.planning.health.assessing import assess
from ribstitch.planning.health.check import Check, Offender, Verdict, worst_first
from ribstitch.planning.health.rules import PRACTICES, RULES, THRESHOLDS, limits_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import activity_name, send_outs


@dataclass(frozen=True, slots=True)
class HealthOffender:
    """A task or an item away that a check names."""

    id: str
    name: str
    note: str
    kind: Literal["task", "send_out"]


@dataclass(frozen=True, slots=True)
class HealthCheck:
    """One check, what it found, and what to do about it."""

    id: str
    practice: int
    practice_name: str
    counts: str
    of_what: str
    count: float
    of: float
    share: float | None
    """Count over what there is; None while there is nothing to count."""
    limit: float | None
    """As a share of 1: at most so much, or at least; None: named and not judged."""
    at_least: bool
    source: str
    ok: bool | None
    verdict: Verdict
    advice: str
    offenders: list[HealthOffender]


@dataclass(frozen=True, slots=True)
class HealthLimit:
    """A limit that the shop can change: a share of 1, or a number of working days."""

    id: str
    means: str
    unit: Literal["share", "days"]
    at_least: bool
    usual: float | None
    own: float | None
    """The shop's own; None where the usual one holds."""


@dataclass(frozen=True, slots=True)
class HealthView:
    """How sound the plan is."""

    plan_version: int
    beyond: int
    """Limits that are not kept."""
    judged: int
    """Checks that have a limit and something to count."""
    checks: list[HealthCheck]
    """By verdict, those beyond their limit by how far."""
    limits: list[HealthLimit]


def health_view(current: CurrentPlan) -> HealthView:
    """Return the checks of a plan, and the limits they are held against."""
    checks = assess(current.schedule)
    return HealthView(
        plan_version=current.plan_version,
        beyond=sum(one.verdict is Verdict.BEYOND for one in checks),
        judged=sum(one.ok is not None for one in checks),
        checks=[_check(current, one) for one in worst_first(checks)],
        limits=_limits(current),
    )


def _check(current: CurrentPlan, one: Check) -> HealthCheck:
    """Return a check as it is shown."""
    return HealthCheck(
        id=one.rule.id,
        practice=one.rule.practice,
        practice_name=PRACTICES[one.rule.practice],
        counts=one.rule.counts,
        of_what=one.rule.of,
        count=one.count,
        of=one.of,
        share=one.share,
        limit=one.limit,
        at_least=one.rule.at_least,
        source=one.rule.source,
        ok=one.ok,
        verdict=one.verdict,
        advice=one.rule.advice,
        offenders=[offender(current, who) for who in one.offenders],
    )


def offender(current: CurrentPlan, who: Offender) -> HealthOffender:
    """Return whom a check names; a leg stands for its item."""
    number = current.schedule.prepared.number.get(who.id)
    if number is None:
        return HealthOffender(who.id, send_outs(current)[who.id].name or who.id, who.note,
                              "send_out")  # fmt: skip
    name, item = activity_name(current, number), current.schedule.activities[number].send_out
    if item is not None:
        return HealthOffender(item, name, who.note, "send_out")
    return HealthOffender(who.id, name, who.note, "task")


def _limits(current: CurrentPlan) -> list[HealthLimit]:
    """Return every limit with its usual value and the shop's own."""
    own, usual = dict(current.plan.project.health_limits), limits_of({})
    shares = [
        HealthLimit(rule.id, rule.counts, "share", rule.at_least, usual[rule.id], own.get(rule.id))
        for rule in RULES
    ]
    days = [
        HealthLimit(one.id, one.means, "days", False, usual[one.id], own.get(one.id))
        for one in THRESHOLDS
    ]
    return shares + days
