"""Serial schedule generation: activities one by one, each as early as it can be.

The scheme of J. E. Kelley, "The critical-path method: resources planning and
scheduling", in Muth & Thompson (eds), Industrial Scheduling, 1963; named as here by
R. Kolisch, "Serial and parallel resource-constrained project scheduling methods
revisited", European Journal of Operational Research 90, 1996.
"""

from __future__ import annotations

from collections.abc import Sequence

from ribstitch.planning.levelling.resource_project import ResourceProject


class SerialScheme:
    """
    Generates schedules of one project, thousands a second.

    Parameters
    ----------
    project
        The project; every schedule it gives keeps all lags and capacities.

    Notes
    -----
    What is free in a period stands in one Python integer, a bit field a resource with a
    guard bit above it: taking all demands away at once leaves every guard bit standing
    exactly if none is exceeded. A window is looked through from its end, so that the
    periods before the last conflict are skipped.
    """

    def __init__(self, project: ResourceProject) -> None:
        self.project = project
        width = max(project.capacities, default=0).bit_length() + 1
        shifts = [width * place for place in range(len(project.capacities))]
        self._guards = sum(1 << (shift + width - 1) for shift in shifts)
        self._full = self._guards + _packed(project.capacities, shifts)
        self._packed = [_packed(row, shifts) for row in project.demands]
        self._rows = list(zip(project.durations, self._packed, project.before, strict=True))
        self._horizon = project.horizon + max(project.durations, default=0) + 1

    def starts(self, order: Sequence[int]) -> list[int]:
        """
        Return the start of each activity if they are placed in an order.

        Parameters
        ----------
        order
            All activities, each after everything it waits for.

        Returns
        -------
        list of int, length n
            In order of number, not of placing. [periods]
        """
        rows, guards = self._rows, self._guards
        free = [self._full] * self._horizon
        placed = [0] * len(rows)
        for number in order:
            took, demand, before = rows[number]
            begin = 0
            for other, lag in before:
                bound = placed[other] + lag
                if bound > begin:  # noqa: PLR1730 - a call of max is slower
                    begin = bound
            if demand and took:
                seen, period = begin, begin + took - 1
                while period >= seen:
                    if (free[period] - demand) & guards == guards:
                        period -= 1
                    else:
                        seen, begin = begin + took, period + 1
                        period += took
                for period in range(begin, begin + took):
                    free[period] -= demand
            placed[number] = begin
        return placed


def _packed(row: Sequence[int], shifts: Sequence[int]) -> int:
    """Return a row of units as one integer of bit fields."""
    return sum(units << shift for units, shift in zip(row, shifts, strict=True))
