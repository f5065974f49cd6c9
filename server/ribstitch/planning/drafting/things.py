"""The kinds of things that a draft is made of, and what of them is the shop's own."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Any

from ribstitch.planning.drafting.digest import digest_of
from ribstitch.planning.holding import has_begun
from ribstitch.planning.model import (
    Cost,
    Link,
    Plan,
    Risk,
    SendOut,
    SendOutStatus,
    State,
    Task,
    TaskStatus,
    Zone,
    link_key,
)


@dataclass(frozen=True, slots=True)
class ThingKind:
    """One kind of thing."""

    name: str
    """As the change log calls it."""
    field: str
    """Of a plan, and of a draft."""
    own: tuple[str, ...] = ()
    """Fields that no draft says anything of: the shop's record."""
    drafted: tuple[str, ...] = ()
    """If given, only these fields are drafted; all others are the shop's."""
    key: Callable[[Any], str] = lambda thing: str(thing.id)
    is_begun: Callable[[Any], bool] = lambda _thing: False
    is_over: Callable[[Any], bool] = lambda _thing: False
    """Whether all of it is the shop's record by now: no draft says anything of it any more."""
    is_dropped: Callable[[Any], bool] = lambda _thing: False
    dropped: Callable[[Any], Any] = lambda _thing: None
    """The thing as it stands once it is dropped; None: it is taken out."""
    blank: Callable[[Any], Any] | None = None
    """The thing before any draft, where drafts only complete it."""
    ends: Callable[[Any], tuple[str, ...]] = lambda _thing: ()
    """What it hangs on: tasks, or a send-out."""
    without: Callable[[Any, Container[str]], Any] = lambda thing, _missing: thing
    """The thing without some of what it hangs on; None: it cannot be without."""
    drops_by: str = ""
    """The field that says that it is dropped."""

    def in_plan(self, plan: Plan) -> tuple[Any, ...]:
        """Return the things of this kind in a plan."""
        found: tuple[Any, ...] = getattr(plan, self.field)
        return found

    def in_draft(self, drafted: Any) -> tuple[Any, ...]:
        """Return the things of this kind in a draft."""
        found: tuple[Any, ...] = getattr(drafted, self.field)
        return found

    def with_things(self, plan: Plan, things: tuple[Any, ...]) -> Plan:
        """Return a plan with other things of this kind."""
        changed: dict[str, Any] = {self.field: things}
        return replace(plan, **changed)

    def by_key(self, things: Iterable[Any]) -> dict[str, Any]:
        """Return things by their key; the first where one comes again."""
        found: dict[str, Any] = {}
        for one in things:
            found.setdefault(self.key(one), one)
        return found

    def touches(self, thing: Any, tasks: Container[str]) -> bool:
        """Whether a thing hangs on one of some others."""
        return any(one in tasks for one in self.ends(thing))

    def digest(self, thing: Any) -> str:
        """Return the digest of what a draft says of a thing."""
        names = frozenset(self.drafted) or _names(thing.__class__).difference(self.own)
        return digest_of(thing, names)

    def combined(self, now: Any, wanted: Any) -> Any:
        """Return a thing as it is drafted, with the shop's own record of it."""
        own = _names(wanted.__class__).difference(self.drafted) if self.drafted else set(self.own)
        if self.is_dropped(now):
            own = own - {self.drops_by}
        return replace(wanted, **{one: getattr(now, one) for one in own})


@cache
def _names(kind: Any) -> frozenset[str]:
    """Return the names of the fields of a dataclass."""
    return frozenset(one.name for one in fields(kind))


def _is_under_way(item: SendOut) -> bool:
    """Whether anything has happened to an item."""
    return item.status != SendOutStatus()


def _drop_task(task: Task) -> Task:
    return replace(task, status=TaskStatus(State.DROPPED))


def _blank_zone(zone: Zone) -> Zone:
    return replace(zone, hidden_work_percent=0.0, opened_by=None)


def _key_of_link(link: Link) -> str:
    return link_key(link.before, link.after, link.relation)


def _ends_of_link(link: Link) -> tuple[str, ...]:
    return link.before, link.after


def _ends_of_send_out(item: SendOut) -> tuple[str, ...]:
    return item.after + item.before


def _hooks_of(thing: Risk | Cost) -> tuple[str, ...]:
    return tuple(one for one in (thing.task, thing.send_out) if one is not None)


def _whole(ends: Callable[[Any], tuple[str, ...]]) -> Callable[[Any, Container[str]], Any]:
    """Return what takes a thing out as soon as one end of it is missing."""
    return lambda thing, missing: None if any(one in missing for one in ends(thing)) else thing


def _zone_without(zone: Zone, missing: Container[str]) -> Zone:
    return replace(zone, opened_by=None) if zone.opened_by in missing else zone


def _send_out_without(item: SendOut, missing: Container[str]) -> SendOut:
    after, before = (
        tuple(one for one in tasks if one not in missing) for tasks in (item.after, item.before)
    )
    return replace(item, after=after, before=before)


THINGS = (
    ThingKind(
        "task", "tasks", own=("status", "not_before", "deadline", "notes"), is_begun=has_begun,
        dropped=_drop_task,
        is_dropped=lambda task: task.status.state is State.DROPPED, drops_by="status",
    ),
    ThingKind(
        "zone", "zones", drafted=("hidden_work_percent", "opened_by"), blank=_blank_zone,
        without=_zone_without,
    ),
    ThingKind(
        "link", "links", key=_key_of_link, ends=_ends_of_link, without=_whole(_ends_of_link)
    ),
    ThingKind(
        "send_out", "send_outs", own=("status", "contacts", "dropped", "notes"),
        is_begun=_is_under_way, is_dropped=lambda item: item.dropped,
        dropped=lambda item: replace(item, dropped=True), ends=_ends_of_send_out,
        without=_send_out_without, drops_by="dropped",
    ),
    ThingKind(
        "risk", "risks", own=("closed",), is_over=lambda risk: risk.closed, ends=_hooks_of,
        without=_whole(_hooks_of),
    ),
    ThingKind("cost", "costs", ends=_hooks_of, without=_whole(_hooks_of)),
)  # fmt: skip
"""In the order in which they are merged: what hangs on others follows them."""
