"""Which chain of links sets the end of an activity, as a formula of what is taken off."""

from __future__ import annotations

from collections.abc import Sequence

from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.levelling.work_scale import WorkScale
from ribstitch.planning.model import ELAPSED
from ribstitch.planning.network import Values
from ribstitch.planning.passes import EarlyDates
from ribstitch.planning.prepared import Prepared, calendars_of
from ribstitch.planning.pulling_in.answers import DisagreementError
from ribstitch.planning.pulling_in.chains import Chain, Lag, Stretch, chain_of, work_at_finish
from ribstitch.planning.pulling_in.options import Cut


class Driving:
    """
    Finds driving chains in the network of a plan.

    Parameters
    ----------
    prepared
        The plan.
    cuts
        What can be taken off.
    """

    def __init__(self, prepared: Prepared, cuts: Sequence[Cut]) -> None:
        network = prepared.network
        self.size = network.size
        self.links = network.links
        self.into: list[list[int]] = [[] for _ in range(network.size)]
        """Links into each activity, by number."""
        for number, after in enumerate(network.links.after.tolist()):
            self.into[after].append(number)
        self.scales, self.elapsed = _scales(prepared)
        self.cut_of = {cut.rank: number for number, cut in enumerate(cuts)}
        self.work = prepared.values.work
        self.floor = prepared.values.floor

    def chain_to(self, rank: int, values: Values, early: EarlyDates) -> Chain:
        """
        Return the chain that sets the end of an activity.

        Parameters
        ----------
        rank
            The activity.
        values, early
            Of the network with some of the cuts made, and its earliest dates.
        """
        return _Walk(self, values, early).back_from(rank)


def _scales(prepared: Prepared) -> tuple[list[WorkScale], WorkScale]:
    """Return the calendar of each activity by rank, and elapsed time; equal ones are one."""
    network, tables = prepared.network, prepared.network.tables
    known: dict[bytes, WorkScale] = {}
    scales = {}
    for calendar in calendars_of(prepared.plan):
        worked = ticks_per_date(calendar, tables.first, tables.days)
        scales[calendar.id] = known.setdefault(worked.tobytes(), WorkScale(worked.tolist()))
    activities = prepared.expansion.activities
    by_rank = [scales[activities[number].calendar] for number in network.order.tolist()]
    return by_rank, scales[ELAPSED.id]


class _Walk:
    """One way back along what drives."""

    def __init__(self, driving: Driving, values: Values, early: EarlyDates) -> None:
        self._of = driving
        self._values = values
        self._begin, self._event = early.begin, early.event
        self._stretches: list[Stretch] = []

    def back_from(self, rank: int) -> Chain:
        """Collect stretches, the last first, until something does not move."""
        from_begin, lags = False, tuple[Lag, ...]()
        while True:
            known = self._values.started[rank] >= 0 if from_begin else self._values.done[rank]
            if known:
                begin = int(self._event[rank if from_begin else rank + self._of.size])
                self._stretches.append(Stretch(None, False, 0, (), False, lags))
                break
            link = self._driver(rank)
            by_finish = link is not None and bool(self._of.links.to_finish[link])
            self._add(rank, by_finish, from_begin, lags)
            if link is None:
                begin = int(self._of.floor[rank])
                break
            lags = self._lags(link)
            event = int(self._of.links.event_before[link])
            rank, from_begin = event % self._of.size, event < self._of.size
        return chain_of(begin, self._stretches[::-1])

    def _add(self, rank: int, by_finish: bool, from_begin: bool, lags: tuple[Lag, ...]) -> None:
        """Add the stretch of one activity."""
        work, cut = int(self._of.work[rank]), self._of.cut_of.get(rank)
        if not work:
            at_floor = cut is not None and self._driver(rank) is None
            terms = ((cut, 1),) if cut is not None and at_floor else ()
            self._stretches.append(Stretch(None, False, 0, terms, False, lags))
            return
        sign = 0 if by_finish != from_begin else -1 if by_finish else 1
        terms = ((cut, sign),) if cut is not None and sign else ()
        scale = self._of.scales[rank]
        self._stretches.append(Stretch(scale, by_finish, sign * work, terms, from_begin, lags))

    def _driver(self, rank: int) -> int | None:
        """Return the link that sets the dates of an activity; None: its floor does."""
        floor, work = int(self._values.floor[rank]), int(self._values.work[rank])
        scale, links = self._of.scales[rank], self._of.links
        begin = int(self._begin[rank])
        before = scale.work_before(begin)
        if floor == begin or (work and scale.work_before(floor) == before):
            return None
        for link in self._of.into[rank]:
            required = self._required(link)
            if links.to_finish[link]:
                drives = (
                    work_at_finish(scale, required) == before + work if work else required == begin
                )
            elif self._values.deaf[rank]:
                continue
            else:
                drives = scale.work_before(required) == before if work else required == begin
            if drives:
                return link
        raise DisagreementError("nothing drives what is not at its floor")

    def _required(self, link: int) -> int:
        """Return the instant that a link asks for."""
        instant = int(self._event[self._of.links.event_before[link]])
        for lag in self._lags(link):
            instant = lag.after(instant)
        return instant

    def _lags(self, link: int) -> tuple[Lag, ...]:
        """Return the lag of a link, if it has one."""
        links = self._of.links
        if links.elapsed_lag[link]:
            return (Lag(self._of.elapsed, int(links.elapsed_lag[link])),)
        if links.work_lag[link]:
            return (Lag(self._of.scales[links.after[link]], int(links.work_lag[link])),)
        return ()
