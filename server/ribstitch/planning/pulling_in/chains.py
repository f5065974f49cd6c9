"""A chain of links as a formula: when it ends, given how much is taken off along it.

On one calendar, work and lags simply add up; only where a chain goes over to another
calendar does an instant have to be looked up. So a chain is a few stretches, each a sum
on one calendar, and its end falls, stretch by stretch, with what is taken off in each.

Where an activity is pushed by its finish and held on to by its start, less work makes it
begin later: there what is taken off counts against the chain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ribstitch.planning.levelling.work_scale import WorkScale

Terms = tuple[tuple[int, int], ...]
"""(cut, 1 if taking off brings the end forward, or -1): what a stretch adds up."""


@dataclass(frozen=True, slots=True)
class Lag:
    """A lag on the way to the next stretch."""

    scale: WorkScale
    """On which calendar it counts."""
    ticks: int

    def after(self, instant: int) -> int:
        """Return the instant that the lag leads to."""
        return self.scale.earliest(self.scale.work_before(instant) + self.ticks)

    def before(self, latest: int) -> int:
        """Return the last instant after which the lag is over by an instant."""
        return _latest(self.scale, self.scale.work_before(latest) - self.ticks)


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    A part of a chain on one calendar.

    Attributes
    ----------
    scale
        The calendar; None: it stands at an instant.
    by_finish
        Whether the stretch is entered by the finish of its first activity.
    work
        Work and lags. [ticks]
    terms
        What can be taken off of it.
    from_begin
        Whether the stretch is left by the begin of its last activity.
    lags
        What follows before the next stretch.
    """

    scale: WorkScale | None
    by_finish: bool
    work: int
    terms: Terms
    from_begin: bool
    lags: tuple[Lag, ...]

    def end(self, instant: int, taken_off: int) -> int:
        """Return where the next stretch may begin, when this one is entered at an instant."""
        if self.scale is None:
            instant += self.work - taken_off
        else:
            enter = work_at_finish if self.by_finish else WorkScale.work_before
            work = enter(self.scale, instant) + self.work - taken_off
            instant = self.scale.latest(work) if self.from_begin else self.scale.earliest(work)
        for lag in self.lags:
            instant = lag.after(instant)
        return instant

    def least(self, instant: int, latest: int) -> int:
        """Return what must be taken off, that an entry at an instant ends by another."""
        if self.scale is None:
            return instant + self.work - self._most(latest)
        enter = work_at_finish if self.by_finish else WorkScale.work_before
        return enter(self.scale, instant) + self.work - self._most(latest)

    def entry(self, latest: int, taken_off: int) -> int:
        """Return the last instant of entry for an end by an instant."""
        most = self._most(latest) - self.work + taken_off
        if self.scale is None:
            return most
        return self.scale.earliest(most) if self.by_finish else _latest(self.scale, most)

    def _most(self, latest: int) -> int:
        """Return where the stretch ends at the latest: the work before, or the instant."""
        for lag in reversed(self.lags):
            latest = lag.before(latest)
        if self.scale is None:
            return latest
        if self.from_begin:
            return self.scale.work_before(latest + 1) - 1
        return self.scale.work_before(latest)


@dataclass(frozen=True, slots=True)
class Chain:
    """Stretches one after the other, from an instant that nothing moves. [ticks]"""

    begin: int
    stretches: tuple[Stretch, ...]

    @property
    def terms(self) -> tuple[Terms, ...]:
        """What can be taken off in each stretch."""
        return tuple(stretch.terms for stretch in self.stretches)

    def end(self, taken_off: Sequence[int]) -> int:
        """Return when the chain ends, given what is taken off of each stretch. [ticks]"""
        instant = self.begin
        for stretch, ticks in zip(self.stretches, taken_off, strict=True):
            instant = stretch.end(instant, ticks)
        return instant


def _latest(scale: WorkScale, work: int) -> int:
    """Return the last instant before which no more is worked, within the scale."""
    return scale.latest(min(work, scale.total - 1))


def work_at_finish(scale: WorkScale, instant: int) -> int:
    """Return how much is worked before the first instant, from one on, that ends a tick."""
    work = scale.work_before(instant)
    return work if scale.earliest(work) == instant else work + 1


def chain_of(begin: int, stretches: Sequence[Stretch]) -> Chain:
    """Return a chain with what lies on one calendar added up."""
    joined: list[Stretch] = []
    for stretch in stretches:
        if joined and stretch.scale is None and not stretch.terms:
            joined[-1] = replace(joined[-1], lags=joined[-1].lags + stretch.lags)
            continue
        both = _joined(joined[-1], stretch) if joined else None
        if both is None:
            joined.append(stretch)
        else:
            joined[-1] = both
    return Chain(begin, tuple(joined))


def _joined(first: Stretch, second: Stretch) -> Stretch | None:
    """Return two stretches as one, where no instant has to be looked up between them."""
    scale = first.scale
    if scale is None or second.scale is None or scale is not second.scale:
        return None
    if any(lag.scale is not scale for lag in first.lags):
        return None
    if first.from_begin and second.by_finish and not first.lags:
        return None
    return Stretch(
        scale,
        first.by_finish,
        first.work + sum(lag.ticks for lag in first.lags) + second.work,
        _added(first.terms, second.terms),
        second.from_begin,
        second.lags,
    )


def _added(first: Terms, second: Terms) -> Terms:
    """Return what two stretches add up together, in order."""
    signs = dict(first)
    for cut, sign in second:
        signs[cut] = signs.get(cut, 0) + sign
    return tuple(sorted((cut, sign) for cut, sign in signs.items() if sign))
