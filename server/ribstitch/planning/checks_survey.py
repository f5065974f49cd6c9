"""Refuse findings, method cards, evidence and sign-offs that make no sense."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import networkx as nx

from ribstitch.planning.check_values import (
    check_between,
    check_date,
    check_known,
    check_names,
    check_not_after,
    check_unique,
)
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import CardRisk, Finding, MethodCard, Plan, SignOff
from ribstitch.planning.model.survey import HourRange


@dataclass(frozen=True, slots=True)
class SurveyIds:
    """The ids that findings, evidence and sign-offs can name."""

    zones: set[str]
    tasks: set[str]
    send_outs: set[str]
    over_and_above: set[str]


def check_survey(plan: Plan, ids: SurveyIds) -> None:
    """
    Check all that the evaluation says.

    Raises
    ------
    InvalidValueError, DuplicateIdError, UnknownReferenceError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    cards = check_unique(plan.cards, "cards", "method card")
    steps = {card.id: {step.number for step in card.steps} for card in plan.cards}
    for number, card in enumerate(plan.cards):
        _check_card(card, steps, f"cards[{number}]")
    _check_order(plan.cards)
    check_unique(plan.standing_jobs, "standing_jobs", "standing job")
    for number, job in enumerate(plan.standing_jobs):
        where = f"standing_jobs[{number}]"
        check_known(job.card, cards, f"{where}.card", "method card")
        check_known(job.zone, ids.zones, f"{where}.zone", "zone")
        _check_quantity(job.quantity, f"{where}.quantity")
    findings = check_unique(plan.findings, "findings", "finding")
    for number, finding in enumerate(plan.findings):
        where = f"findings[{number}]"
        check_known(finding.zone, ids.zones, f"{where}.zone", "zone")
        check_known(finding.card, cards, f"{where}.card", "method card")
        _check_finding(finding, plan, where)
    for number, task in enumerate(plan.tasks):
        if task.origin is not None:
            _check_quantity(task.origin.quantity, f"tasks[{number}].origin.quantity")
    evidence = _check_evidence(plan, ids, findings)
    check_unique(plan.sign_offs, "sign_offs", "sign-off")
    for number, one in enumerate(plan.sign_offs):
        where = f"sign_offs[{number}]"
        check_known(one.task, ids.tasks, f"{where}.task", "task")
        check_names(one.evidence, evidence, f"{where}.evidence", "piece of evidence")
        _check_sign_off(one, plan, where)
    check_unique(plan.drafts, "drafts", "draft")


def _check_card(card: MethodCard, steps: dict[str, set[int]], where: str) -> None:
    """Check one card: its steps, in order, and what they name; `steps` are those of all cards."""
    check_names(card.after_cards, set(steps), f"{where}.after_cards", "method card")
    if not card.steps:
        raise InvalidValueError(f"{where}.steps", f'"{card.id}" has no step', None)
    numbers: set[int] = set()
    for place, step in enumerate(card.steps):
        here = f"{where}.steps[{place}]"
        if step.number in numbers:
            raise InvalidValueError(
                f"{here}.number", f"there is a step {step.number} before it", step.number
            )
        for order, before in enumerate(step.after):
            _check_step(before, numbers, f"{here}.after[{order}]", "is no earlier step")
        numbers.add(step.number)
        _check_hours(step.hours, f"{here}.hours")
    for field in ("leaves_after", "back_before"):
        _check_step(getattr(card, field), numbers, f"{where}.{field}", "is no step of the card")
    for order, inside in enumerate(card.inside):
        here = f"{where}.inside[{order}]"
        check_known(inside.card, set(card.after_cards), f"{here}.card", "card that comes first")
        _check_step(inside.before, numbers, f"{here}.before", "is no step of the card")
        _check_step(inside.step, steps[inside.card], f"{here}.step", f"is no step of {inside.card}")
    if card.risk is not None:
        _check_risk(card.risk, numbers, f"{where}.risk")


def _check_risk(risk: CardRisk, numbers: set[int], where: str) -> None:
    """Check what may happen on a card."""
    check_between(risk.probability, 0, 1, f"{where}.probability")
    _check_step(risk.step, numbers, f"{where}.step", "is no step of the card")
    _check_hours(risk.hours, f"{where}.hours")
    _check_hours(risk.weeks, f"{where}.weeks")
    if risk.percent < 0:
        raise InvalidValueError(
            f"{where}.percent", f"{risk.percent:f} % is less than nothing", risk.percent
        )


def _check_order(cards: tuple[MethodCard, ...]) -> None:
    """Refuse cards that wait for each other in a circle."""
    graph = nx.DiGraph((before, card.id) for card in cards for before in card.after_cards)
    try:
        circle = nx.find_cycle(graph)
    except nx.NetworkXNoCycle:
        return
    chain = " -> ".join([*(before for before, _after in circle), circle[0][0]])
    raise InvalidValueError("cards", f"these come before each other in a circle: {chain}", chain)


def _check_finding(finding: Finding, plan: Plan, where: str) -> None:
    """Check one line of the evaluation."""
    check_between(finding.grade, 0, 5, f"{where}.grade")
    _check_quantity(finding.quantity, f"{where}.quantity")
    _check_hours(finding.own_hours, f"{where}.own_hours")
    if finding.own_hours is not None and finding.card is not None:
        raise InvalidValueError(
            f"{where}.own_hours",
            f'"{finding.id}" takes its hours from card {finding.card}, so it has none of its own',
            None,
        )
    if (finding.own_hours is None) != (finding.own_trade is None):
        raise InvalidValueError(
            f"{where}.own_trade", f'"{finding.id}" needs hours and a trade, or neither', None
        )
    for field in ("seen_on", "decided_on"):
        day = getattr(finding, field)
        check_date(day, f"{where}.{field}")
        check_not_after(day, plan.project.as_of, f"{where}.{field}", finding.id)


def _check_evidence(plan: Plan, ids: SurveyIds, findings: set[str]) -> set[str]:
    """Check what files show; return their ids."""
    known = check_unique(plan.evidence, "evidence", "piece of evidence")
    for number, one in enumerate(plan.evidence):
        where = f"evidence[{number}]"
        check_known(one.zone, ids.zones, f"{where}.zone", "zone")
        check_known(one.finding, findings, f"{where}.finding", "finding")
        check_known(one.task, ids.tasks, f"{where}.task", "task")
        check_known(one.send_out, ids.send_outs, f"{where}.send_out", "send-out")
        check_known(
            one.over_and_above, ids.over_and_above, f"{where}.over_and_above",
            "over-and-above item",
        )  # fmt: skip
        check_date(one.added_on, f"{where}.added_on")
        check_date(one.taken_on, f"{where}.taken_on")
    return known


def _check_sign_off(one: SignOff, plan: Plan, where: str) -> None:
    """Check that a sign-off says who, and what it is about."""
    check_date(one.on, f"{where}.on")
    check_not_after(one.on, plan.project.as_of, f"{where}.on", one.id)
    if not one.by.strip():
        raise InvalidValueError(f"{where}.by", f'"{one.id}" needs the name of a person', one.by)
    if (one.task is None) == (one.record is None):
        raise InvalidValueError(
            f"{where}.task", f'"{one.id}" is about a task or a record: one of them', None
        )


def _check_step(number: int | None, known: set[int], where: str, reason: str) -> None:
    """Refuse the number of a step that is not there; None is none."""
    if number is not None and number not in known:
        raise InvalidValueError(where, f"{number} {reason}", number)


def _check_quantity(quantity: Decimal, where: str) -> None:
    """Refuse a quantity of nothing or less."""
    if quantity <= 0:
        raise InvalidValueError(where, f"{quantity:f} is not more than nothing", quantity)


def _check_hours(hours: HourRange | None, where: str) -> None:
    """Refuse hours below zero, or low, likely and high that fall."""
    if hours is None:
        return
    low, likely, high = hours
    if low < 0:
        raise InvalidValueError(where, f"{low:f} hours is less than nothing", low)
    if not low <= likely <= high:
        shown = ", ".join(f"{one:f}" for one in hours)
        raise InvalidValueError(where, f"low, likely and high must rise: {shown} hours", shown)
