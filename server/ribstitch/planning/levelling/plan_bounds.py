"""How early a plan could finish at best with its people, on its own calendars."""

from __future__ import annotations

from bisect import bisect_right

from ribstitch.planning.levelling.crew_problem import CrewProblem, Limit
from ribstitch.planning.schedule import Schedule


def plan_bound(problem: CrewProblem, planned: Schedule) -> int:
    """
    Return an instant before which no levelled plan finishes. [ticks]

    The larger of the finish without people and, for each set of trades and each early
    start among its tasks, when its people have worked off all that starts no earlier.
    """
    origin = problem.prepared.network.origin
    bound = int(planned.project_finish) - origin
    begins = (planned.begin - origin).tolist()
    for number, limit in enumerate(problem.limits):
        if limit.scale is None:
            continue
        for place in range(len(limit.resources)):
            load = sorted(
                (begins[n], row.work * one.units[place])
                for n, row in enumerate(problem.rows)
                for one in row.asking
                if one.timeline == number and one.units[place]
            )
            bound = max(bound, _worked_off(limit, place, load))
    return bound


def _worked_off(limit: Limit, place: int, load: list[tuple[int, int]]) -> int:
    """Return when all that starts no earlier than some instant is worked off at best."""
    assert limit.scale is not None  # noqa: S101 - asked for trades alone
    ats = [at for at, _ in limit.steps]
    bound = rest = 0
    for begin, work in reversed(load):
        rest += work
        at, left = limit.scale.work_before(begin), rest
        step = bisect_right(ats, at) - 1
        while left > 0:
            units = limit.steps[step][1][place]
            until = ats[step + 1] if step + 1 < len(ats) else None
            if until is None or units * (until - at) >= left:
                at += -(-left // units)
                left = 0
            else:
                left -= units * (until - at)
                at, step = until, step + 1
        bound = max(bound, limit.scale.earliest(at))
    return bound
