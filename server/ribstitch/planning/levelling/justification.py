"""Forward-backward improvement of schedules without calendars.

V. Valls, F. Ballestin & S. Quintanilla, "Justification and RCPSP: a technique that
pays", European Journal of Operational Research 165, 2005: shift everything as late as
it can be, the last to end first, then as early as it can be, the first to start first.
The result never ends later.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ribstitch.planning.levelling.members import Member
from ribstitch.planning.levelling.ordering import order_by
from ribstitch.planning.levelling.priorities import priorities
from ribstitch.planning.levelling.resource_project import ResourceProject
from ribstitch.planning.levelling.serial import SerialScheme


class ProjectDecoder:
    """Turns orders into schedules of one project, and justifies them."""

    def __init__(self, project: ResourceProject) -> None:
        self.project = project
        self._forward = SerialScheme(project)
        self._backward = SerialScheme(project.mirrored)
        self._successors = _after(project)
        self._mirrored_successors = _after(project.mirrored)

    def priorities(self) -> Mapping[str, list[int]]:
        """Return the keys of each priority rule; the smaller goes first."""
        return priorities(self.project)

    def successors(self) -> Sequence[Sequence[int]]:
        """Return for each activity what waits for it."""
        return self._successors

    def decode(self, order: Sequence[int]) -> Member:
        """Place activities in an order, each as early as it can be."""
        starts = self._forward.starts(order)
        return Member(self.project.makespan(starts), tuple(starts))

    def order_of(self, member: Member) -> list[int]:
        """Return the activities by start; those that start together keep their order."""
        return _sorted(self.project, member.starts, self._successors)

    def improve(self, member: Member) -> Member:
        """Justify a schedule to the right and to the left, once."""
        durations = self.project.durations
        late_first = [-start - took for start, took in zip(member.starts, durations, strict=True)]
        mirrored = self._backward.starts(
            _sorted(self.project.mirrored, late_first, self._mirrored_successors)
        )
        early_first = [-start - took for start, took in zip(mirrored, durations, strict=True)]
        found = self.decode(_sorted(self.project, early_first, self._successors))
        return found if found.makespan <= member.makespan else member


def _after(project: ResourceProject) -> list[list[int]]:
    """Return for each activity what waits for it."""
    return [[other for other, _ in after] for after in project.after]


def _sorted(
    project: ResourceProject, keys: Sequence[int], successors: Sequence[Sequence[int]]
) -> list[int]:
    """
    Return the activities by key, where a key is a start.

    A stable sort of a topological order keeps all links unless one is a lead, whose
    successor may start first.
    """
    if project.has_leads:
        return order_by(keys, successors)
    return sorted(project.topological, key=keys.__getitem__)
