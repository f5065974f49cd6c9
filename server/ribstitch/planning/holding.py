"""
Which checks are settled, and what may not go on until they are.

A task can carry a check: a hold point, a buy-off, a witnessed test. It holds back the task
itself, which neither counts as done before nor is dropped, and all that waits for its finish,
work and items that are to leave: through finish-start links and through items that leave and
come back, however many lie between.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import networkx as nx

from ribstitch.planning.model import (
    Check,
    CheckKind,
    Plan,
    Relation,
    SendOut,
    SignOff,
    Source,
    State,
    Task,
)

_Node = tuple[str, str]
"""Kind and id."""


class CheckState(StrEnum):
    """How a check stands."""

    OPEN = "open"
    SETTLED = "settled"
    PASSED_OVER = "passed_over"
    """Somebody gave a reason, by name, not to wait for what it wants."""
    REOPENED = "reopened"
    """What was signed was taken back, by who signed or by somebody else."""
    NO_RECORD = "no_record"
    """The task was done before its check was kept: nothing is on file, and it holds nothing."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How the check of one task stands."""

    task: Task
    check: Check
    state: CheckState
    sign_offs: tuple[SignOff, ...]
    """All that was signed for it, in order of entry."""
    evidence: tuple[str, ...]
    """Ids of what is attached to the task, or named by a sign-off that stands."""

    @property
    def holds(self) -> bool:
        """Whether it keeps others waiting."""
        return self.state in (CheckState.OPEN, CheckState.REOPENED)

    @property
    def is_settled(self) -> bool:
        """Whether what it wants is there, or was passed over by name and with a reason."""
        return self.state in (CheckState.SETTLED, CheckState.PASSED_OVER)

    @property
    def times_reopened(self) -> int:
        """How often it was opened again."""
        return sum(one.reopens for one in self.sign_offs)

    @property
    def deciding(self) -> SignOff | None:
        """The sign-off that settled it, passed it over or opened it again; None without one."""
        if self.state is CheckState.REOPENED:
            return next(one for one in reversed(self.sign_offs) if one.reopens)
        is_over = self.state is CheckState.PASSED_OVER
        valid = _valid(self.sign_offs, self.check.kind)
        return next((one for one in reversed(valid) if bool(one.override) is is_over), None)


class Barred(StrEnum):
    """Which step a check does not allow."""

    START = "start"
    """A task begins behind it."""
    LEAVE = "leave"
    """An item leaves the shop behind it."""
    DONE = "done"
    """Its own task becomes done."""
    DROP = "drop"
    """Its own task is dropped."""
    UNSETTLED_DONE = "unsettled_done"
    """What settled it goes, and its own task counts as done."""
    UNSETTLED_DROPPED = "unsettled_dropped"
    """What settled it goes, and its own task is dropped."""
    UNSETTLED_BEGUN = "unsettled_begun"
    """It comes to hold, and behind it work has begun, or an item has left."""


@dataclass(frozen=True, slots=True)
class Blocked:
    """A step that a check does not allow yet."""

    step: Barred
    thing: Task | SendOut
    """What begins, leaves, becomes done or is dropped; or has done so already."""
    by: Standing


class Holding:
    """
    The checks of a plan, and what they hold back.

    Parameters
    ----------
    plan
        Its tasks, links, send-outs, evidence and sign-offs count.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self.standings = check_standings(plan)
        """How each check stands, by the id of its task."""

    def before_task(self, task_id: str) -> tuple[Standing, ...]:
        """Return the checks on the way to a task that keep it waiting, in the plan's order."""
        return self._before(("task", task_id))

    def before_send_out(self, send_out_id: str) -> tuple[Standing, ...]:
        """Return the checks on the way to an item that are not settled, in the plan's order."""
        return self._before(("send_out", send_out_id))

    def begun_behind(self, task_id: str) -> tuple[Task | SendOut, ...]:
        """Return the tasks behind a check that have begun, then the items that have left."""
        behind = nx.descendants(self._graph, ("task", task_id))
        plan = self._plan
        begun = [one for one in plan.tasks if ("task", one.id) in behind and has_begun(one)]
        left = [one for one in plan.send_outs if ("send_out", one.id) in behind and has_left(one)]
        return (*begun, *left)

    def _before(self, node: _Node) -> tuple[Standing, ...]:
        """Return what holds among all that comes before."""
        if not self._holding:
            return ()
        ahead = nx.ancestors(self._graph, node)
        return tuple(one for one in self._holding if ("task", one.task.id) in ahead)

    @cached_property
    def _holding(self) -> tuple[Standing, ...]:
        return tuple(one for one in self.standings.values() if one.holds)

    @cached_property
    def _graph(self) -> nx.DiGraph[_Node]:
        """What waits for the finish of what: tasks, and the items that leave between them."""
        graph: nx.DiGraph[_Node] = nx.DiGraph()
        graph.add_nodes_from(("task", task.id) for task in self._plan.tasks)
        graph.add_edges_from(
            (("task", link.before), ("task", link.after))
            for link in self._plan.links
            if link.relation is Relation.FINISH_START
        )
        for item in self._plan.send_outs:
            here = ("send_out", item.id)
            graph.add_node(here)
            graph.add_edges_from((("task", one), here) for one in item.after)
            graph.add_edges_from((here, ("task", one)) for one in item.before)
            if item.trip_of is not None:
                graph.add_edge(("send_out", item.trip_of), here)
        return graph


def check_standings(plan: Plan) -> dict[str, Standing]:
    """Return how each check stands, by the id of its task; dropped work is not checked."""
    return _standings(plan, (one for one in plan.tasks if not _is_dropped(one)))


def _standings(plan: Plan, tasks: Iterable[Task]) -> dict[str, Standing]:
    """Return how the checks of some tasks of a plan stand."""
    checked = [(task, task.check) for task in tasks if task.check is not None]
    if not checked:
        return {}
    signed: dict[str, list[SignOff]] = {}
    for one in plan.sign_offs:
        if one.task is not None:
            signed.setdefault(one.task, []).append(one)
    attached: dict[str, list[str]] = {}
    for piece in plan.evidence:
        if piece.task is not None:
            attached.setdefault(piece.task, []).append(piece.id)
    return {
        task.id: _standing(task, check, tuple(signed.get(task.id, ())), attached.get(task.id, []))
        for task, check in checked
    }


def _standing(
    task: Task, check: Check, sign_offs: tuple[SignOff, ...], attached: Sequence[str]
) -> Standing:
    """Return how one check stands."""
    valid = _valid(sign_offs, check.kind)
    named = [name for one in valid for name in one.evidence]
    evidence = tuple(dict.fromkeys((*attached, *named)))
    was_reopened = any(one.reopens for one in sign_offs)
    is_settled = any(not one.override for one in valid)
    if check.kind is CheckKind.HOLD:
        is_settled = bool(evidence) and (is_settled or not was_reopened)
    if is_settled:
        state = CheckState.SETTLED
    elif any(one.override for one in valid):
        state = CheckState.PASSED_OVER
    elif was_reopened:
        state = CheckState.REOPENED
    elif _is_done(task):
        state = CheckState.NO_RECORD
    else:
        state = CheckState.OPEN
    return Standing(task, check, state, sign_offs, evidence)


def _valid(sign_offs: Sequence[SignOff], kind: CheckKind) -> list[SignOff]:
    """Return what was signed for this kind of check and was not taken back since."""
    last = max((place for place, one in enumerate(sign_offs) if one.reopens), default=-1)
    return [one for one in sign_offs[last + 1 :] if one.kind in (None, kind)]


def has_begun(task: Task) -> bool:
    """Return whether work on a task has begun."""
    match task.status.state:
        case State.IN_WORK | State.DONE:
            return True
        case State.HELD:
            return task.status.started is not None
        case _:
            return False


def has_left(item: SendOut) -> bool:
    """
    Return whether an item of the shop is, or was, on its way.

    A promise is no departure. An exchange unit comes by itself: what leaves is the core.
    """
    status = item.status
    there = (status.shipped, status.arrived)
    later = (status.quoted, status.approved, status.left_vendor, status.received, status.accepted)
    match item.source:
        case Source.IN_HAND:
            return False
        case Source.EXCHANGE:
            return any(there)
        case _:
            return any((*there, *later, status.rejected))


def newly_blocked(before: Plan, after: Plan) -> Blocked | None:
    """
    Return the first step of a change that a check does not allow; None if all may be done.

    What was so before stays as it is: work that had begun, items that had left, what was done
    without a record. That a check is open again because somebody signed so is never refused.

    Parameters
    ----------
    before, after
        The plan as it is, and as the change would make it.
    """
    if all(task.check is None for task in after.tasks):
        return None
    new, old = Holding(after), check_standings(before)
    known = {task.id: task for task in before.tasks}
    for task in after.tasks:
        was = known.get(task.id)
        found = _too_early(task, was, new) or _unsettled(task, was, old.get(task.id), new)
        if found is not None:
            return found
    return _leaving(before, after, new) or _dropping(before, after, old)


def _too_early(task: Task, was: Task | None, new: Holding) -> Blocked | None:
    """Return why a task may not begin, or not become done, with this change."""
    if has_begun(task) and (was is None or not has_begun(was)):
        ahead = new.before_task(task.id)
        if ahead:
            return Blocked(Barred.START, task, ahead[0])
    own = new.standings.get(task.id)
    becomes_done = _is_done(task) and (was is None or not _is_done(was))
    if own is not None and becomes_done and not own.is_settled:
        return Blocked(Barred.DONE, task, own)
    return None


def _unsettled(task: Task, was: Task | None, old: Standing | None, new: Holding) -> Blocked | None:
    """Return what is in the way of a check that stands worse than it did."""
    own = new.standings.get(task.id)
    if was is None or own is None or own.is_settled:
        return None
    if own.times_reopened > (0 if old is None else old.times_reopened):
        return None
    if old is not None and old.is_settled and _is_done(was) and _is_done(task):
        return Blocked(Barred.UNSETTLED_DONE, task, own)
    if own.holds and (old is None or old.is_settled):
        begun = new.begun_behind(task.id)
        if begun:
            return Blocked(Barred.UNSETTLED_BEGUN, begun[0], own)
    return None


def _leaving(before: Plan, after: Plan, new: Holding) -> Blocked | None:
    """Return why an item may not leave with this change."""
    had_left = {item.id for item in before.send_outs if has_left(item)}
    for item in after.send_outs:
        if has_left(item) and item.id not in had_left:
            ahead = new.before_send_out(item.id)
            if ahead:
                return Blocked(Barred.LEAVE, item, ahead[0])
    return None


def _dropping(before: Plan, after: Plan, old: dict[str, Standing]) -> Blocked | None:
    """Return what is dropped with an open check, or has its check opened once it is dropped."""
    old_dropped, new_dropped = _dropped_standings(before), _dropped_standings(after)
    for task_id, own in new_dropped.items():
        if not own.holds:
            continue
        stood, was_dropped = old.get(task_id), old_dropped.get(task_id)
        if stood is not None and stood.state is not CheckState.NO_RECORD:
            return Blocked(Barred.DROP, own.task, own)
        if was_dropped is None or not was_dropped.is_settled:
            continue
        if own.times_reopened == was_dropped.times_reopened:
            return Blocked(Barred.UNSETTLED_DROPPED, own.task, own)
    return None


def _dropped_standings(plan: Plan) -> dict[str, Standing]:
    """Return how the checks of dropped tasks would stand if the tasks were still to be done."""
    return _standings(plan, (one for one in plan.tasks if _is_dropped(one)))


def _is_done(task: Task) -> bool:
    return task.status.state is State.DONE


def _is_dropped(task: Task) -> bool:
    return task.status.state is State.DROPPED
