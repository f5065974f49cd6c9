"""The order of the crew as the plan stands: which crew links still say something.

A crew link says who goes first, as long as nobody has begun. Work that has begun has its
hands, and what would have had the same hands before waits for it. Work that is held, and
nobody knows until when, lets what is next go by. What has left its place in a row in such
a way, or is done, leaves no gap: what stood before it hands on to what stood behind it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain

import networkx as nx

from ribstitch.planning.crew_rows import (
    along_plain_links,
    back_from,
    by_later_task,
    closing_gaps,
)
from ribstitch.planning.crews import crew_of
from ribstitch.planning.model import CrewLink, CrewLinkKind, Plan, State


def crew_links_in_force(plan: Plan) -> tuple[CrewLink, ...]:
    """
    Return the crew links that hold at the as-of date.

    Parameters
    ----------
    plan
        A plan whose links name tasks that are there.

    Returns
    -------
    tuple of CrewLink
        Links as they stand, each at its place of entry; in the place of one that the shop
        has gone past, links from what goes first to what would have had the same hands
        before it; then those that close the gaps of the rows. Only a link as it was entered
        can close a loop: if a plan with all of its crew links has none, this order has none
        either.
    """
    return tuple(_Order(plan).links()) if plan.crew_links else ()


class _Order:
    """The crew links of a plan, held against what was begun."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._tasks = {task.id: task for task in plan.tasks}
        self._not_ready = set(waiting_by_links(plan))
        done, begun = (self._in_state(one) for one in (State.DONE, State.IN_WORK))
        told = (*plan.crew_links, *along_plain_links(plan, self._tasks))
        past_done = self._closing_gaps(told, done)
        open_rows = [one for one in told if not {one.before, one.after} & done]
        open_rows += past_done
        past_begun = self._closing_gaps(open_rows, begun)
        self._into = by_later_task((*past_done, *(one for one in told if one.after not in done)))
        self._overtaking = {
            one: tuple(self._past_by_begun(one)) for one in open_rows if one.after in begun
        }
        to_come = [
            *past_begun,
            *(one for one in open_rows if one.after not in begun),
            *chain.from_iterable(reversed(self._overtaking.values())),
        ]
        self._passing = {one for one in to_come if self._goes_past(one)}
        past_next = self._closing_gaps(to_come, {link.after for link in self._passing})
        self._gaps = (*past_done, *past_begun, *past_next)
        self._rows = dict.fromkeys((*plan.crew_links, *open_rows, *self._gaps))
        self._into_to_come = by_later_task(to_come)

    def links(self) -> Iterator[CrewLink]:
        """Yield what holds."""
        links = self._plan.crew_links
        instead = {
            link: tuple(self._instead_of(link)) for link in self._rows if not self._stands(link)
        }
        standing = [link for link in links if link not in instead]
        if not self._gaps and not any(instead.values()):
            yield from standing
            return
        waits = _Waits(self._plan, standing)
        for link in links:
            if link in instead:
                yield from filter(waits.take, instead.pop(link))
            else:
                yield link
        rest = (instead.pop(link, (link,)) for link in self._gaps)
        yield from filter(waits.take, chain.from_iterable((*rest, *instead.values())))

    def _closing_gaps(self, rows: Sequence[CrewLink], gone: set[str]) -> tuple[CrewLink, ...]:
        return tuple(closing_gaps(rows, gone, self._tasks))

    def _stands(self, link: CrewLink) -> bool:
        """Return whether a link says what it said when nobody had begun."""
        status = self._tasks[link.after].status
        begun = status.started is not None or status.state is State.DONE
        return not begun and link not in self._passing

    def _instead_of(self, link: CrewLink) -> Iterator[CrewLink]:
        """
        Yield what holds in the place of a link, as far as it closes no loop.

        What is dropped needs nobody: it waits for nothing that was begun before its turn.
        """
        if link in self._passing:
            yield from self._past_by_next(link)
            yield link
        elif link in self._overtaking:
            for one in self._overtaking[link]:
                if self._state(one.after) is not State.DROPPED:
                    yield one
        elif self._state(link.after) not in (State.IN_WORK, State.DONE):
            yield link

    def _past_by_begun(self, link: CrewLink) -> Iterator[CrewLink]:
        """
        Yield what waits for work that has begun, back along the rows of its hands.

        Of two pieces of work that have both begun, one waits for the other if there are not
        people (or room) enough for all such work.
        """
        after = link.after
        in_work: set[str] = set()
        for one in back_from(link, self._into, self._has_its_hands_from):
            state = self._state(one.before)
            if state is State.IN_WORK:
                if one.after not in in_work and self._are_too_few(one):
                    yield replace(one, after=after)
                in_work.add(one.before)
            elif state is not State.DONE:
                yield replace(one, before=after, after=one.before)

    def _has_its_hands_from(self, link: CrewLink) -> bool:
        """Return whether hands still go along a link into work that has begun."""
        state = self._state(link.before)
        return state is not State.DONE and (state is not State.IN_WORK or self._are_too_few(link))

    def _past_by_next(self, link: CrewLink) -> Iterator[CrewLink]:
        """Yield what waits for a task that goes past what is held, and what it waits for."""
        after = link.after
        stays: set[str] = set()
        for one in back_from(link, self._into_to_come, lambda _: True):
            state = self._state(one.before)
            if self._is_held_for_long(one.before):
                yield replace(one, before=after, after=one.before)
            elif one.after not in stays and state.is_open:
                yield replace(one, after=after)
                stays.add(one.before)
            if one.after in stays:
                stays.add(one.before)

    def _goes_past(self, link: CrewLink) -> bool:
        """Return whether the earlier task is held for who knows how long, the later ready."""
        after = self._tasks[link.after]
        not_before = after.not_before or self._plan.project.as_of
        return (
            self._is_held_for_long(link.before)
            and after.status.state is State.NOT_STARTED
            and not_before <= self._plan.project.as_of
            and after.id not in self._not_ready
        )

    def _is_held_for_long(self, name: str) -> bool:
        status = self._tasks[name].status
        return status.state is State.HELD and status.held_until is None

    def _are_too_few(self, link: CrewLink) -> bool:
        """Return whether the work in hand asks for more of what a link is about than there is."""
        now = [task for task in self._plan.tasks if task.status.state is State.IN_WORK]
        if link.kind is CrewLinkKind.PLACE:
            asked = sum(not set(link.names).isdisjoint(task.places) for task in now)
            there = sum(one.capacity for one in self._plan.places if one.id in link.names)
        else:
            asked = sum(task.people for task in now if task.trade in link.names)
            there = sum(one.people for one in crew_of(self._plan, link.names))
        return 0 < there < asked

    def _state(self, name: str) -> State:
        return self._tasks[name].status.state

    def _in_state(self, state: State) -> set[str]:
        return {task.id for task in self._plan.tasks if task.status.state is state}


class _Waits:
    """What waits for what among tasks and send-outs."""

    def __init__(self, plan: Plan, crew_links: Sequence[CrewLink]) -> None:
        self._order: nx.DiGraph[str] = nx.DiGraph()
        self._order.add_nodes_from(task.id for task in plan.tasks)
        self._order.add_edges_from((link.before, link.after) for link in plan.links)
        self._order.add_edges_from((link.before, link.after) for link in crew_links)
        for item in plan.send_outs:
            away = f"send-out {item.id}"
            self._order.add_edges_from((task, away) for task in item.after)
            self._order.add_edges_from((away, task) for task in item.before)
            if item.trip_of is not None:
                self._order.add_edge(f"send-out {item.trip_of}", away)
                self._order.add_edge(away, f"send-out {item.trip_of}")
        self._taken = {(link.before, link.after) for link in plan.links}
        self._taken |= {(link.before, link.after) for link in crew_links}
        self._of = ""
        self._comes_first: set[str] = set()
        """What comes before the task `_of`."""

    def take(self, link: CrewLink) -> bool:
        """Add a link, and return True, unless one is there already or it would close a loop."""
        ends = link.before, link.after
        if ends in self._taken or link.before == link.after:
            return False
        if self._of != link.before:
            self._of, self._comes_first = link.before, nx.ancestors(self._order, link.before)
        if link.after in self._comes_first:
            return False
        self._taken.add(ends)
        self._order.add_edge(*ends)
        return True


def waiting_by_links(plan: Plan) -> Iterator[str]:
    """Yield the tasks that wait for other work or for an item, whatever the crew does."""
    done = {task.id for task in plan.tasks if task.status.state is State.DONE}
    yield from (link.after for link in plan.links if link.before not in done)
    for item in plan.send_outs:
        if item.status.accepted is None:
            yield from item.before
