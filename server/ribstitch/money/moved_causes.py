"""What differs between two plans, put down to causes that people understand.

A cause is one item that is away, one piece of work, one finding with all the work that came
of it; or people and calendars, the order of the work, what is known of the vendors, hidden
work, prices and rates. What went as planned belongs to the passing of time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any

from ribstitch.planning.model import Cost, HoursWorked, Link, Plan, SendOut, State, Task, link_key
from ribstitch.planning.schedule import Schedule


class CauseKind(StrEnum):
    """What sort of thing a cause is."""

    TIME = "time"
    """Time that passed: what went as planned, and what was left lying."""
    ITEM = "item"
    """An item that is sent out, with its prices."""
    TASK = "task"
    """A piece of work: it took longer, was changed, added or dropped."""
    FINDING = "finding"
    """A finding, with the work and the items that came of it."""
    ORDER = "order"
    """Links between work that itself is as it was."""
    HANDS = "hands"
    """People, places, calendars, the order of the crew, rules and start of the project."""
    VENDORS = "vendors"
    """What is known of vendors and of the kinds of work that they do."""
    HIDDEN = "hidden"
    """Zones, and what is allowed in them for hidden work."""
    PRICES = "prices"
    """Cost lines of nothing above, exchange rates, budget, standing cost."""


@dataclass(frozen=True, slots=True, order=True)
class Cause:
    """Why something moved; `id` names the item, task or finding, and is empty for the others."""

    kind: CauseKind
    id: str = ""

    @property
    def name(self) -> str:
        """Return what tells it from all others."""
        return f"{self.kind}:{self.id}"


TIME = Cause(CauseKind.TIME)
_HANDS, _ORDER, _PRICES = (
    Cause(one) for one in (CauseKind.HANDS, CauseKind.ORDER, CauseKind.PRICES)
)

WHOLE: Mapping[str, Cause] = {
    "calendars": _HANDS,
    "crew": _HANDS,
    "places": _HANDS,
    "crew_links": _HANDS,
    "kinds": Cause(CauseKind.VENDORS),
    "vendors": Cause(CauseKind.VENDORS),
    "zones": Cause(CauseKind.HIDDEN),
    "exchange_rates": _PRICES,
    "budget": _PRICES,
}
"""Parts of a plan that are taken over as a whole, and with which cause."""
KEYS: Mapping[str, Callable[[Any], str]] = {
    "tasks": lambda one: one.id,
    "send_outs": lambda one: one.id,
    "links": lambda one: link_key(one.before, one.after, one.relation),
    "costs": lambda one: one.id,
    "hours": lambda one: one.id,
}
"""Parts that are taken over thing by thing, and what tells their things apart."""
UNTOLD = ("expedites", "risks", "funding", "baselines", "over_and_above", "cards",
          "standing_jobs", "findings", "evidence", "sign_offs", "drafts", "drawings")  # fmt: skip
"""Parts on which neither the finish nor the cost as written depends."""
_STANDING = "standing"


@dataclass(frozen=True)
class Differences:
    """
    What differs between two plans, and why.

    Attributes
    ----------
    things
        The cause of each thing that differs, by part of the plan and key.
    parts
        The cause of each part that is taken over as a whole; the project's own fields are
        the part "project" (rules) and "standing" (what a month costs).
    lagging
        What is under way, is told no otherwise than before, and ends later by that.
    """

    things: Mapping[tuple[str, str], Cause]
    parts: Mapping[str, Cause]
    lagging: Mapping[tuple[str, str], Cause]

    @property
    def causes(self) -> frozenset[Cause]:
        """Return all causes but the passing of time."""
        found = {*self.things.values(), *self.parts.values(), *self.lagging.values()}
        return frozenset(found - {TIME})


def by_key(plan: Plan, part: str) -> dict[str, Any]:
    """Return the things of a part of a plan by key, in order of entry."""
    return {KEYS[part](one): one for one in getattr(plan, part)}


def differences(then: Schedule, now: Schedule) -> Differences:
    """Return what differs between two plans, each thing with its cause."""
    return _Comparing(then, now).found()


class _Comparing:
    """Two plans side by side."""

    def __init__(self, then: Schedule, now: Schedule) -> None:
        self._then, self._now = then, now
        self._plans = then.prepared.plan, now.prepared.plan
        self._sides = {part: tuple(by_key(one, part) for one in self._plans) for part in KEYS}
        self._own: dict[str, Cause] = {}
        """The causes of tasks and items that are not as planned, by id."""

    def found(self) -> Differences:
        """Return what differs."""
        things: dict[tuple[str, str], Cause] = {}
        for key, old, new in self._changed("tasks"):
            things["tasks", key] = self._noted(key, self._of_task(old, new))
        for key, old, new in self._changed("send_outs"):
            things["send_outs", key] = self._noted(key, self._of_item(old, new))
        lagging = dict(self._lagging())
        for part, cause_of in (
            ("links", self._of_link), ("costs", self._of_cost), ("hours", self._of_hours),
        ):  # fmt: skip
            for key, old, new in self._changed(part):
                things[part, key] = cause_of(new or old)
        return Differences(things, dict(self._parts()), lagging)

    def _changed(self, part: str) -> Iterator[tuple[str, Any, Any]]:
        """Yield key, earlier and later thing of what differs in more than words."""
        then, now = self._sides[part]
        for key in dict.fromkeys((*then, *now)):
            old, new = then.get(key), now.get(key)
            if bare(old) != bare(new):
                yield key, old, new

    def _noted(self, key: str, cause: Cause) -> Cause:
        """Remember a cause of its own, for what hangs on the thing."""
        if cause != TIME:
            self._own[key] = cause
        return cause

    def _of_task(self, old: Task | None, new: Task | None) -> Cause:
        """Return why a task differs."""
        one = new or old
        if old is None or new is None:
            origin = None if one is None or one.origin is None else one.origin.finding
            if origin is not None:
                return Cause(CauseKind.FINDING, origin)
        elif bare(replace(old, status=new.status)) == bare(new) and self._went_as_planned(new):
            return TIME
        return Cause(CauseKind.TASK, "" if one is None else one.id)

    def _went_as_planned(self, task: Task) -> bool:
        """Return whether a task is under way or done, and ends on the date that was planned."""
        if task.status.state in {State.HELD, State.DROPPED}:
            return False
        return self._end(self._then, task.id) == self._end(self._now, task.id)

    def _of_item(self, old: SendOut | None, new: SendOut | None) -> Cause:
        """Return why an item that is sent out differs."""
        one = new or old
        if one is None:
            return TIME
        if old is None or new is None:
            found = self._found_with(one)
            if found is not None:
                return found
        elif bare(replace(old, status=new.status)) == bare(new):
            ends = [self._item_end(side, one.id) for side in (self._then, self._now)]
            if ends[0] == ends[1] and not new.status.rejected:
                return TIME
        return Cause(CauseKind.ITEM, self._first_trip(one))

    def _found_with(self, item: SendOut) -> Cause | None:
        """Return the finding that brought an item along with work of its own."""
        for plan in reversed(self._plans):
            for finding in plan.findings:
                cause = Cause(CauseKind.FINDING, finding.id)
                if finding.send_out == item.id and cause in self._own.values():
                    return cause
        return None

    def _first_trip(self, item: SendOut) -> str:
        """Return the item that was rejected first, where one goes out again."""
        known = {**self._sides["send_outs"][0], **self._sides["send_outs"][1]}
        while item.trip_of is not None and item.trip_of in known:
            item = known[item.trip_of]
        return item.id

    def _lagging(self) -> Iterator[tuple[tuple[str, str], Cause]]:
        """Yield what is under way and told no otherwise than before, and yet ends later."""
        if self._plans[0].project.as_of >= self._plans[1].project.as_of:
            return
        for part, kind, end in (
            ("tasks", CauseKind.TASK, self._end), ("send_outs", CauseKind.ITEM, self._item_end),
        ):  # fmt: skip
            then, now = self._sides[part]
            for key in now:
                if key not in then or bare(then[key]) != bare(now[key]):
                    continue
                if self._is_under_way(key) and end(self._then, key) != end(self._now, key):
                    yield (part, key), self._noted(key, Cause(kind, key))

    def _is_under_way(self, key: str) -> bool:
        """Return whether a task, or a leg of an item, is under way."""
        return any(
            one.is_under_way for one in self._now.activities if key in (one.task, one.send_out)
        )

    def _of_link(self, link: Link) -> Cause:
        """Return why a link came or went: with the work that it ties, or by itself."""
        return self._own.get(link.after) or self._own.get(link.before) or _ORDER

    def _of_cost(self, line: Cost) -> Cause:
        """Return why a cost line differs."""
        on = self._own.get(line.task or "") or self._own.get(line.send_out or "")
        if on is not None:
            return on
        return TIME if line.kind == _STANDING else _PRICES

    def _of_hours(self, entry: HoursWorked) -> Cause:
        """Return why hours were entered."""
        return self._own.get(entry.task, TIME)

    def _parts(self) -> Iterator[tuple[str, Cause]]:
        """Yield the parts that differ as a whole."""
        then, now = self._plans
        for part, cause in WHOLE.items():
            if getattr(then, part) != getattr(now, part):
                yield part, cause
        old, new = then.project, now.project
        if (old.start, old.calendar, old.out_of_sequence) != (
            new.start, new.calendar, new.out_of_sequence,
        ):  # fmt: skip
            yield "project", _HANDS
        if old.standing_per_month != new.standing_per_month:
            yield "standing", _PRICES

    @staticmethod
    def _end(side: Schedule, key: str) -> date:
        return side.finish_on_of(side.number(key))

    @staticmethod
    def _item_end(side: Schedule, key: str) -> date | None:
        """Return the last finish among the legs of an item; None where it has none."""
        ends = [
            side.finish_on_of(place)
            for place, one in enumerate(side.activities)
            if one.send_out == key
        ]
        return max(ends, default=None)


def bare(thing: Any) -> Any:
    """Return a thing without the words about it: no date and no amount depends on them."""
    if isinstance(thing, Task):
        return replace(
            thing, name="", why="", hazards=(), notes="", check=None, origin=None, places=(),
            deadline=None, duration_range=None,
        )  # fmt: skip
    if isinstance(thing, SendOut):
        return replace(thing, name="", notes="", contacts=())
    return thing
