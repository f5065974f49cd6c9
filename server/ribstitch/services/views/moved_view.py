"""What moved since an earlier plan, in words, each cause with the changes behind it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ribstitch.charts.paper import plural
from ribstitch.money.moved_causes import WHOLE, Cause, CauseKind, Differences
from ribstitch.money.movement import Movement, Step
from ribstitch.planning.model import Plan, SendOut, State, Task
from ribstitch.services.earlier_plan import EarlierPlan
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_words import text
from ribstitch.services.views.moved_shape import CauseChange, MovedCause, MovedSince
from ribstitch.services.views.statement_moved import moved_between
from ribstitch.store import ChangeRecord
from ribstitch.store.kinds import PLAN_KINDS, PROJECT

MOST_CHANGES = 6
"""So many changes are listed with a cause."""
_WORDS = {
    CauseKind.TIME: "time that passed",
    CauseKind.ORDER: "the order of the work",
    CauseKind.HANDS: "people, places and calendars",
    CauseKind.VENDORS: "what is known of the vendors",
    CauseKind.HIDDEN: "zones and hidden work",
    CauseKind.PRICES: "prices, rates and costs entered",
}
_PARTS = {kind.plan_field: kind.name for kind in PLAN_KINDS.values()}
_RULES = {"start", "calendar", "out_of_sequence"}


def moved_view(current: CurrentPlan, earlier: EarlierPlan, found: Movement) -> MovedSince:
    """Return what moved since an earlier plan in the same currency."""
    words = _Words(earlier.plan, current.plan)
    behind = _Behind(found.differ, earlier.changes, words)
    currency = current.plan.project.currency
    causes = [_cause(one, words.of_step(one), behind, currency) for one in found.steps]
    if found.others is not None:
        what = f"Other changes ({plural(len(found.others.causes), 'small cause')})"
        causes.append(_cause(found.others, what, behind, currency, is_other=True))
    moved = moved_between(current, earlier.plan, earlier.plan_version)
    return MovedSince(moved, None, causes, found.is_exact)


def _cause(
    step: Step, what: str, behind: _Behind, currency: str, *, is_other: bool = False
) -> MovedCause:
    """Return a cause as it is told."""
    first, changes = step.causes[0], list(behind.of(step.causes))
    is_one = len(step.causes) == 1
    return MovedCause(
        kind="other" if is_other else str(first.kind),
        id=first.id if is_one and not is_other else "",
        what=what,
        days=step.days,
        amount=text(step.cost, currency),
        changes=changes[:MOST_CHANGES],
        changes_count=len(changes),
    )


class _Words:
    """What things are called, in either plan."""

    def __init__(self, then: Plan, now: Plan) -> None:
        self._then, self._now = then, now
        self.things: Mapping[tuple[str, str], Any] = {
            (part, one.id): one
            for plan in (then, now)
            for part in ("tasks", "send_outs", "findings", "vendors", "zones", "costs")
            for one in getattr(plan, part)
        }

    def of_step(self, step: Step) -> str:
        """Say what moved something."""
        words = "; ".join(self._of(cause, step.days) for cause in step.causes)
        return words[:1].upper() + words[1:]

    def _of(self, cause: Cause, days: int) -> str:
        if cause.kind is CauseKind.FINDING:
            finding = self.things.get(("findings", cause.id))
            return f"found: {cause.id if finding is None else finding.title or finding.seen}"
        if cause.kind is CauseKind.TASK:
            return self._of_task(cause.id, days)
        if cause.kind is CauseKind.ITEM:
            return self._of_item(cause.id, days)
        return _WORDS[cause.kind]

    def _of_task(self, key: str, days: int) -> str:
        """Say what became of a piece of work."""
        old, new = (_task(plan, key) for plan in (self._then, self._now))
        name = self.name("tasks", key)
        if old is None:
            return f"{name}: added"
        if old == new:
            return f"{name}: not done yet"
        if new is None or new.status.state is State.DROPPED:
            return f"{name}: no longer to be done"
        if new.status.state is State.HELD:
            reason = new.status.held_reason
            return f"{name}: held{f', {reason}' if reason else ''}"
        past = new.status.state is State.DONE
        if days > 0:
            return f"{name}: {'took' if past else 'takes'} longer"
        if days < 0:
            return f"{name}: {'took' if past else 'takes'} less long"
        return f"{name}: changed"

    def _of_item(self, key: str, days: int) -> str:
        """Say what became of an item that is sent out."""
        old, new = (_item(plan, key) for plan in (self._then, self._now))
        one = new or old
        vendor = "" if one is None else self.name("vendors", one.vendor)
        name = self.name("send_outs", key) + (f" ({vendor})" if vendor else "")
        if old is None:
            return f"{name}: sent out as well"
        if old == new:
            return f"{name}: not back yet"
        if new is None or new.dropped:
            return f"{name}: no longer sent out"
        if new.status.rejected is not None:
            return f"{name}: rejected, goes out again"
        if days:
            return f"{name}: {'late' if days > 0 else 'early'}"
        return f"{name}: dates and prices"

    def name(self, part: str, key: str) -> str:
        """Return what a thing is called; its key where it has no name."""
        one = self.things.get((part, key))
        return getattr(one, "name", "") or getattr(one, "title", "") or key


class _Behind:
    """The changes behind each cause."""

    def __init__(self, differ: Differences, changes: Sequence[ChangeRecord], words: _Words) -> None:
        self._words = words
        self._changes: dict[Cause, list[ChangeRecord]] = {}
        things = {(_PARTS[part], key): one for (part, key), one in differ.things.items()}
        wholes = {_PARTS[part]: one for part, one in WHOLE.items() if part in differ.parts}
        for change in changes:
            for cause in self._causes(change, things, wholes, differ):
                self._changes.setdefault(cause, []).append(change)

    @staticmethod
    def _causes(
        change: ChangeRecord,
        things: Mapping[tuple[str, str], Cause],
        wholes: Mapping[str, Cause],
        differ: Differences,
    ) -> Iterator[Cause]:
        """Yield the causes that a change belongs to."""
        if change.kind == PROJECT.name:
            fields = set(change.changed_fields())
            if "as_of" in fields:
                yield Cause(CauseKind.TIME)
            if fields & _RULES and "project" in differ.parts:
                yield differ.parts["project"]
            if "standing_per_month" in fields and "standing" in differ.parts:
                yield differ.parts["standing"]
        elif change.kind == "finding":
            yield Cause(CauseKind.FINDING, change.key)
        elif (change.kind, change.key) in things:
            yield things[change.kind, change.key]
        elif change.kind in wholes:
            yield wholes[change.kind]

    def of(self, causes: Sequence[Cause]) -> Iterator[CauseChange]:
        """Yield the changes behind some causes, newest first."""
        found = {one.number: one for cause in causes for one in self._changes.get(cause, ())}
        for number in sorted(found, reverse=True):
            one = found[number]
            yield CauseChange(
                number=number,
                plan_version=one.plan_version,
                at=one.at,
                who=one.who,
                role=one.role,
                action=one.action,
                kind=one.kind,
                key=one.key,
                name=self._name(one),
                fields=one.changed_fields(),
                reason=one.reason,
            )

    def _name(self, change: ChangeRecord) -> str:
        """Return the name of the thing that was changed."""
        kind = PLAN_KINDS.get(change.kind)
        return "" if kind is None else self._words.name(kind.plan_field, change.key)


def _task(plan: Plan, key: str) -> Task | None:
    return next((one for one in plan.tasks if one.id == key), None)


def _item(plan: Plan, key: str) -> SendOut | None:
    return next((one for one in plan.send_outs if one.id == key), None)
