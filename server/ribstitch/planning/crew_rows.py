"""Through whose hands work goes: rows of tasks along which people and places are handed on.

Some of that is not written down as a crew link: where a task follows another of its trade
by a plain link, its people come from there as far as no crew link says otherwise.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from ribstitch.planning.model import CrewLink, CrewLinkKind, Plan, Relation, Task

_Links = dict[str, list[CrewLink]]


def along_plain_links(plan: Plan, tasks: Mapping[str, Task]) -> Iterator[CrewLink]:
    """
    Yield how people go along plain links, as far as no crew link brings them.

    Parameters
    ----------
    plan
        The plan.
    tasks
        Its tasks by id.
    """
    wanted = {task.id: task.people for task in plan.tasks if task.trade}
    told = {(one.before, one.after) for one in plan.crew_links}
    for one in plan.crew_links:
        if one.kind is CrewLinkKind.TRADE and one.after in wanted:
            wanted[one.after] -= one.units
    for link in plan.links:
        before, after = tasks[link.before], tasks[link.after]
        units = min(before.people, wanted.get(after.id, 0))
        if (
            units > 0
            and after.trade
            and before.trade == after.trade
            and link.relation is Relation.FINISH_START
            and (before.id, after.id) not in told
        ):
            wanted[after.id] -= units
            yield CrewLink(before.id, after.id, names=(after.trade,), units=units)


def back_from(
    link: CrewLink, into: Mapping[str, Sequence[CrewLink]], goes_on: Callable[[CrewLink], bool]
) -> Iterator[CrewLink]:
    """
    Yield a link and those before it in its rows: whence its hands would have come.

    No more of them than it takes to find as many hands.

    Parameters
    ----------
    link
        Where to begin.
    into
        All links, by their later task.
    goes_on
        Whether to look behind a link.
    """
    seen = {link.before}
    to_follow = [link]
    while to_follow:
        one = to_follow.pop()
        yield one
        units = one.units if goes_on(one) else 0
        for earlier in into.get(one.before, ()):
            taken = min(units, earlier.units)
            if not taken or not _are_alike(earlier, link):
                continue
            units -= taken
            if earlier.before not in seen:
                seen.add(earlier.before)
                to_follow.append(replace(earlier, units=taken))


def by_later_task(links: Iterable[CrewLink]) -> Mapping[str, Sequence[CrewLink]]:
    """Return links by their later task."""
    into: _Links = defaultdict(list)
    for one in links:
        into[one.after].append(one)
    return into


def closing_gaps(
    links: Sequence[CrewLink], gone: Collection[str], tasks: Mapping[str, Task]
) -> Iterator[CrewLink]:
    """
    Take tasks out of their rows, and yield the links that close the gaps.

    Whoever would have come to such a task goes on to what follows it. Hands that nobody who
    is left would have brought are free already: they go on first.

    Parameters
    ----------
    links
        All links.
    gone
        The tasks to take out. Those with nobody left before them leave no gap.
    tasks
        All tasks by id.
    """
    behind = _with_others_before(links, gone)
    if not behind:
        return
    into: _Links = defaultdict(list)
    out_of: _Links = defaultdict(list)
    for link in links:
        if link.before not in gone or link.before in behind:
            into[link.after].append(link)
            out_of[link.before].append(link)
    closing: list[CrewLink] = []
    for name in behind:
        passed_on = tuple(_passed_on(tasks[name], into[name], out_of[name]))
        for link in into.pop(name):
            out_of[link.before].remove(link)
        for link in out_of.pop(name):
            into[link.after].remove(link)
        for link in passed_on:
            into[link.after].append(link)
            out_of[link.before].append(link)
        closing += passed_on
    yield from (one for one in closing if one.before not in gone and one.after not in gone)


def _with_others_before(links: Sequence[CrewLink], gone: Collection[str]) -> dict[str, None]:
    """Return the tasks taken out that have others before them in a row."""
    out_of: _Links = defaultdict(list)
    for link in links:
        if link.after in gone:
            out_of[link.before].append(link)
    todo = [name for name in out_of if name not in gone]
    found: dict[str, None] = {}
    while todo:
        for link in out_of.get(todo.pop(), ()):
            if link.after not in found:
                found[link.after] = None
                todo.append(link.after)
    return found


def _passed_on(
    task: Task, into: Iterable[CrewLink], out_of: Iterable[CrewLink]
) -> Iterator[CrewLink]:
    """Yield who hands on to whom once a task is taken out, each hand once."""
    left = [(link, link.units) for link in into]
    free: dict[tuple[CrewLinkKind, tuple[str, ...]], int] = {}
    for link in out_of:
        what = (link.kind, link.names)
        if what not in free:
            has = 1 if link.kind is CrewLinkKind.PLACE else task.people
            brought = sum(units for one, units in left if _are_alike(one, link))
            free[what] = max(0, has - brought)
        wanted = max(0, link.units - free[what])
        free[what] -= link.units - wanted
        for at, (one, units) in enumerate(left):
            taken = min(units, wanted)
            if taken and _are_alike(one, link):
                left[at] = one, units - taken
                wanted -= taken
                yield replace(link, before=one.before, units=taken)


def _are_alike(one: CrewLink, other: CrewLink) -> bool:
    """Return whether two links can be about the same people or place."""
    return one.kind is other.kind and not set(one.names).isdisjoint(other.names)
