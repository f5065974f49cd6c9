"""Who sets the pace: whose work the critical path runs through, and who is the bottleneck."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from ribstitch.planning.levelling.gains import Gain, GainKind
from ribstitch.planning.model import CrewLinkKind
from ribstitch.planning.schedule import Schedule


@dataclass(frozen=True, slots=True)
class PathShare:
    """
    How much of the critical path is work of one trade, or stands in one place.

    Attributes
    ----------
    kind, name
        The trade or place; both None for what nobody of the crew works on (vendors, the
        road, curing).
    work
        What remains of it on the path, each task on its own calendar. [ticks]
    share
        Of all work on the path, between 0 and 1. Trades and None add up to 1; places are
        counted beside them.
    """

    kind: CrewLinkKind | None
    name: str | None
    work: int
    share: float


def path_shares(schedule: Schedule) -> tuple[PathShare, ...]:
    """Return the shares of the critical path, the largest first; empty where all is done."""
    values, network = schedule.prepared.values, schedule.prepared.network
    tasks = schedule.prepared.plan.tasks
    found: dict[tuple[CrewLinkKind | None, str | None], int] = defaultdict(int)
    total = 0
    for number in schedule.critical_path:
        work = int(values.work[network.rank[number]])
        task = tasks[number] if number < len(tasks) else None
        total += work
        if task is not None and task.trade and task.people:
            found[CrewLinkKind.TRADE, task.trade] += work
        else:
            found[None, None] += work
        for place in dict.fromkeys(task.places if task is not None else ()):
            found[CrewLinkKind.PLACE, place] += work
    shares = [PathShare(*key, work, work / total) for key, work in found.items() if work]
    return tuple(sorted(shares, key=lambda one: -one.work))


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """
    The trade or place that holds the plan up most.

    Attributes
    ----------
    kind, name
        The trade or place.
    share
        Of the work on the critical path, between 0 and 1.
    gain
        What one more would bring; None where nobody asked.
    """

    kind: CrewLinkKind
    name: str
    share: float
    gain: Gain | None = None


def bottleneck(schedule: Schedule, gains: Iterable[Gain] | None = None) -> Bottleneck | None:
    """
    Return who or what holds the plan up most; None if that is nobody of the crew.

    Parameters
    ----------
    schedule
        The plan as it stands.
    gains
        What one more of each would bring, where that is known: the largest gain says it
        (one more day a week says it of the trade that has the most of the path), and the
        share of the critical path where two are the same. Without them it is the largest
        share.
    """
    shares = {
        (one.kind, one.name): one.share
        for one in path_shares(schedule)
        if one.kind is not None and one.name is not None
    }
    if gains is None:
        found = [Bottleneck(kind, name, share) for (kind, name), share in shares.items()]
        return max(found, key=lambda one: one.share, default=None)
    best: Bottleneck | None = None
    for gain in gains:
        kind = CrewLinkKind.PLACE if gain.kind is GainKind.PLACE else CrewLinkKind.TRADE
        for name in gain.trades or (gain.name,):
            one = Bottleneck(kind, name, shares.get((kind, name), 0.0), gain)
            if gain.days > 0 and (best is None or _weight(one) > _weight(best)):
                best = one
    return best


def _weight(one: Bottleneck) -> tuple[int, float]:
    """Order bottlenecks: by gain, then by share."""
    return (one.gain.days if one.gain else 0), one.share
