"""Plans half way between an earlier and a later one, with some causes of the movement in them.

Every half-way plan is told as of the later date. What has not begun, though, is planned from
the earlier as-of date on until the very end: so work that waited for something late is not
blamed for having waited.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import networkx as nx

from ribstitch.money.ledger import ledger_of
from ribstitch.money.moved_causes import (
    KEYS,
    TIME,
    UNTOLD,
    WHOLE,
    Cause,
    CauseKind,
    Differences,
    by_key,
)
from ribstitch.planning.activities import floor_of
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Plan, Project, Zone
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import date_at, date_before

_GROWING = ("calendars", "zones", "kinds", "vendors", "places")
"""What came new in them moves nothing until something else refers to it."""

State = tuple[int, int]
"""Finish [ordinal of its date], and forecast at completion [minor units]."""


def state_of(of: Schedule) -> State:
    """Return where a plan ends, and what it comes to."""
    return of.finish_on.toordinal(), ledger_of(of).total()


class HalfWay:
    """
    The plans between two others.

    Parameters
    ----------
    then, now
        Both plans, scheduled.
    differ
        What differs between them.
    """

    def __init__(self, then: Schedule, now: Schedule, differ: Differences) -> None:
        self._then, self._now = _told(then.prepared.plan), _told(now.prepared.plan)
        self._differ = differ
        self._floor = floor_of(then.prepared.plan)
        self._waits_for = _waits_for(now, differ)
        self._sides: Mapping[str, tuple[dict[str, Any], dict[str, Any]]] = {
            part: (by_key(self._then, part), by_key(self._now, part)) for part in KEYS
        }

    def without_idle(self, causes: frozenset[Cause]) -> frozenset[Cause]:
        """Return the causes that move something, told first or told last; the others wait."""
        kept = frozenset(one for one in causes if self._moves(one, causes))
        self._waits_for = {one: before & kept for one, before in self._waits_for.items()}
        return kept

    def _moves(self, cause: Cause, causes: frozenset[Cause]) -> bool:
        """Return whether a cause moves something right after what it waits for, or at the end."""
        needed = self._waits_for.get(cause, frozenset())
        waiting = {one for one in causes if cause in self._waits_for.get(one, frozenset())}
        for others in (needed, causes - waiting - {cause}):
            before, after = self.state(others), self.state(others | {cause})
            if before is None or before != after:
                return True
        return False

    def state(self, causes: frozenset[Cause]) -> State | None:
        """Return the state with some causes in the plan; None if it cannot stand without others."""
        if any(not self._waits_for.get(one, frozenset()) <= causes for one in causes):
            return None
        try:
            found = schedule(self._plan(causes), floors=self._floors(causes))
        except PlanError:
            return None
        return self._finish(found), ledger_of(found).total()

    def _finish(self, found: Schedule) -> int:
        """Return the finish, as seen from the earlier as-of date. [ordinal of its date]"""
        open_ones = [one for one in found.activities if not one.dropped]
        if not open_ones:
            return found.finish_on.toordinal()
        finish = date_before(found.project_finish).toordinal()
        is_over = all(one.is_done for one in open_ones)
        return finish if is_over else max(finish, date_at(self._floor).toordinal())

    def _plan(self, causes: frozenset[Cause]) -> Plan:
        """Return the earlier plan with some causes, and the passing of time, in it."""
        inside = causes | {TIME}
        parts: dict[str, Any] = {part: self._merged(part, inside) for part in KEYS}
        tasks = {one.id for one in parts["tasks"]}
        for part, cause in WHOLE.items():
            old, new = getattr(self._then, part), getattr(self._now, part)
            if part not in self._differ.parts or cause in inside:
                parts[part] = new
            else:
                parts[part] = _and_new(old, new) if part in _GROWING else old
        parts["zones"] = tuple(_closed_to(one, tasks) for one in parts["zones"])
        return replace(self._now, project=self._project(inside), **parts)

    def _merged(self, part: str, inside: frozenset[Cause]) -> tuple[Any, ...]:
        """Return the things of a part: the later ones of the causes inside, else the earlier."""
        then, now = self._sides[part]
        found = []
        for key in dict.fromkeys((*then, *now)):
            cause = self._differ.things.get((part, key))
            one = (now if cause is None or cause in inside else then).get(key)
            if one is not None:
                found.append(one)
        return tuple(found)

    def _project(self, inside: frozenset[Cause]) -> Project:
        """Return the project with the rules and the standing cost of one side or the other."""
        old, new = self._then.project, self._now.project
        parts = self._differ.parts
        if parts.get("project", TIME) not in inside:
            new = replace(
                new, start=old.start, calendar=old.calendar, out_of_sequence=old.out_of_sequence
            )
        if parts.get("standing", TIME) not in inside:
            new = replace(new, standing_per_month=old.standing_per_month)
        return new

    def _floors(self, causes: frozenset[Cause]) -> dict[str, int]:
        """Return what is still planned from the earlier as-of date on."""
        told = {
            key
            for named in (self._differ.things, self._differ.lagging)
            for (_, key), cause in named.items()
            if cause in causes or cause == TIME
        }
        floors: dict[str, int] = {}
        for part in ("tasks", "send_outs"):
            then, now = self._sides[part]
            for key in {**then, **now}:
                is_new = key not in then
                if key not in told or not (is_new or _has_begun(now.get(key))):
                    floors[key] = self._floor
        return floors


def _has_begun(thing: Any) -> bool:
    """Return whether somebody has told of a beginning: of work, or of an item's way."""
    status = getattr(thing, "status", None)
    names = ("started", "finished", "shipped", "arrived", "quoted", "approved", "left_vendor",
             "received", "accepted", "rejected")  # fmt: skip
    return any(getattr(status, name, None) is not None for name in names)


def _told(plan: Plan) -> Plan:
    """Return a plan without the parts on which neither finish nor cost depends."""
    nothing: dict[str, Any] = dict.fromkeys(UNTOLD, ())
    return replace(plan, **nothing)


def _and_new(old: tuple[Any, ...], new: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return the earlier things and those that came later."""
    known = {one.id for one in old}
    return (*old, *(one for one in new if one.id not in known))


def _closed_to(zone: Zone, tasks: set[str]) -> Zone:
    """Return a zone; what opens it has to be in the plan."""
    return zone if zone.opened_by in tasks else replace(zone, opened_by=None)


def _waits_for(now: Schedule, differ: Differences) -> dict[Cause, frozenset[Cause]]:
    """Return for each item and piece of work the causes among what it waits for in the plan."""
    single: dict[str, Cause] = {}
    for named in (differ.things, differ.lagging):
        for (part, key), cause in named.items():
            if part in {"tasks", "send_outs"} and cause.kind in {CauseKind.TASK, CauseKind.ITEM}:
                single[key] = cause
    if not single:
        return {}
    owner = {one.id: one.task or one.send_out or "" for one in now.activities}
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(owner)
    graph.add_edges_from((one.before, one.after) for one in now.prepared.expansion.links)
    found: dict[Cause, set[Cause]] = {}
    for activity, key in owner.items():
        if key in single:
            mine = found.setdefault(single[key], set())
            mine |= {
                single[owner[one]] for one in nx.ancestors(graph, activity) if owner[one] in single
            }
    return {one: frozenset(before - {one}) for one, before in found.items()}
