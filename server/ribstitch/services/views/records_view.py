"""
What must be settled before flight, and by whom that is said.

Ribstitch lists, reminds and keeps what people say they signed. It signs, approves and
judges nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.planning.holding import CheckState
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE
from ribstitch.services.holds import holding_of
from ribstitch.services.record_rules import RecordRule, RuleBook, record_rules, rule_books
from ribstitch.services.sign_off import last_of_record
from ribstitch.services.views.check_lines import (
    CheckLine,
    Signer,
    SignOffLine,
    line_of,
    sign_off_line,
    signers,
)
from ribstitch.services.views.open_items import OpenGroup, open_items


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One thing that a licensed person must settle, and who says that it is."""

    id: str
    rule: str
    settles: str
    help: str
    basis: str
    is_stated: bool
    by: str
    """Who said so last, that it is settled or that it is open again; empty: nobody."""
    licence: str
    on: date | None
    statement: str


@dataclass(frozen=True, slots=True)
class TaskCheck:
    """The check of one task."""

    task: str
    name: str
    zone: str | None
    check: CheckLine
    finish: date
    """When the task is done, or forecast to be."""
    version: int
    """Of the task."""


@dataclass(frozen=True, slots=True)
class Records:
    """The records sheet."""

    as_of: date
    rule_book: str
    """As the project names it; empty: not chosen yet."""
    rule_books: list[RuleBook]
    project_version: int
    records: list[RecordLine]
    """Of the chosen rule book; none until one is chosen."""
    open_checks: list[TaskCheck]
    """What holds, the next to be needed first."""
    passed_over: list[TaskCheck]
    no_record: list[TaskCheck]
    """Done before its check was kept."""
    settled: int
    sign_offs: list[SignOffLine]
    """All of them, the latest first."""
    signers: list[Signer]
    open_items: list[OpenGroup]
    standing_line: str


def records(current: CurrentPlan) -> Records:
    """Return the sheet."""
    project = current.plan.project
    checks = _task_checks(current)

    def in_state(*states: CheckState) -> list[TaskCheck]:
        return [one for one in checks if one.check.state in states]

    return Records(
        as_of=current.as_of,
        rule_book=project.rule_book,
        rule_books=list(rule_books()),
        project_version=current.versions["project"][""],
        records=[
            _record(current, rule) for rule in record_rules() if project.rule_book in rule.books
        ],
        open_checks=in_state(CheckState.OPEN, CheckState.REOPENED),
        passed_over=in_state(CheckState.PASSED_OVER),
        no_record=in_state(CheckState.NO_RECORD),
        settled=len(in_state(CheckState.SETTLED)),
        sign_offs=sign_off_lines(current),
        signers=signers(current),
        open_items=open_items(current),
        standing_line=STANDING_LINE,
    )


def sign_off_lines(current: CurrentPlan) -> list[SignOffLine]:
    """Return all sign-offs with what they are about, the latest first."""
    names = {task.id: task.name or task.id for task in current.plan.tasks}
    rules = {rule.id: rule.rule for rule in record_rules()}
    versions = current.versions["sign_off"]
    return [
        sign_off_line(
            one,
            versions[one.id],
            names[one.task] if one.task is not None else rules.get(one.record or "", ""),
        )
        for one in reversed(current.plan.sign_offs)
    ]


def _record(current: CurrentPlan, rule: RecordRule) -> RecordLine:
    """Return how a record stands: what was said of it last."""
    last = last_of_record(current.plan, rule.id)
    return RecordLine(
        id=rule.id,
        rule=rule.rule,
        settles=rule.settles,
        help=rule.help,
        basis=rule.basis,
        is_stated=last is not None and not last.reopens,
        by="" if last is None else last.by,
        licence="" if last is None else last.licence,
        on=None if last is None else last.on,
        statement="" if last is None else last.statement,
    )


def _task_checks(current: CurrentPlan) -> list[TaskCheck]:
    """Return every check, in the order in which their tasks are done."""
    schedule, versions = current.schedule, current.versions["task"]
    found = [
        TaskCheck(
            task=task_id,
            name=standing.task.name or task_id,
            zone=standing.task.zone,
            check=line_of(standing),
            finish=schedule.finish_on_of(schedule.number(task_id)),
            version=versions[task_id],
        )
        for task_id, standing in holding_of(current).standings.items()
    ]
    return sorted(found, key=lambda one: one.finish)
