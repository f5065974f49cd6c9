"""What the runs of a simulation walk through: steps, what bounds them, what is drawn.

A `CourseModel` is a plan without its words: only unfinished activities, in an order in
which each comes after whatever bounds it, everything counted in grains from the origin.
What is finished has become a bound.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ribstitch.planning.model import Calendar
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.grains import ROUNDED_TO, GrainTables, tables_of
from ribstitch.planning.uncertainty.shapes import Floats


@dataclass(frozen=True, slots=True)
class Draw:
    """
    How the work of a step is drawn.

    Attributes
    ----------
    name
        Of the stream; two draws of one name are the same draw.
    table
        Equally likely values, ascending, shape (POINTS,). [grains]
    factors
        Names of the shared factors that multiply it, in order.
    group, share
        Related draws: the group's name and how closely its members go together.
    floor
        The earliest begin of drawn work; the step's own floor may stand for a promise.
    """

    name: str
    table: Floats
    factors: tuple[str, ...] = ()
    group: str | None = None
    share: float = 0.0
    floor: int | None = None
    least: int = field(init=False)
    """0 if no work at all can be drawn, else 1: then some always is."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "least", int(self.table[0] > 0))


@dataclass(frozen=True, slots=True)
class RiskDraw:
    """Work that is added to a step if a risk strikes, unless it is closed."""

    id: str
    probability: float
    table: Floats
    """Added work, shape (POINTS,). [grains]"""


@dataclass(frozen=True, slots=True)
class SecondTrip:
    """The further trip of an item that is turned down on arrival."""

    name: str
    probability: float
    legs: tuple[tuple[int, Floats], ...]
    """Calendar and work (shape (POINTS,), in grains) of each leg, in order."""


@dataclass(frozen=True, slots=True)
class Tie:
    """A link from an earlier step."""

    step: int
    from_start: bool = False
    elapsed_lag: int = 0
    work_lag: int = 0
    """On the bounded step's calendar. Lags in grains."""

    @property
    def is_plain(self) -> bool:
        """Return whether it is a finish without a lag."""
        return not (self.from_start or self.elapsed_lag or self.work_lag)


@dataclass(frozen=True, slots=True)
class Step:
    """
    One unfinished activity.

    Attributes
    ----------
    activity
        Its order of entry in the plan.
    calendar
        Number of its calendar.
    work
        What it takes if all goes as written. [grains]
    floor
        It cannot begin before. [grains]
    end_floor
        It cannot end before; None where nothing says so. [grains]
    starts, finishes
        Links that bound its start and its finish.
    draw, risks, second_trip
        What is not certain about it.
    counts
        Whether its finish counts for the project's.
    """

    activity: int
    calendar: int
    work: int
    floor: int = 0
    end_floor: int | None = None
    starts: tuple[Tie, ...] = ()
    finishes: tuple[Tie, ...] = ()
    draw: Draw | None = None
    risks: tuple[RiskDraw, ...] = ()
    second_trip: SecondTrip | None = None
    counts: bool = True

    is_idle: bool = field(init=False)
    """Whether it certainly takes no work."""
    least_work: int = field(init=False)
    """0 if it can be without work, else more."""
    begin_floor: np.int32 = field(init=False)
    """It cannot begin before, drawn as it is. [grains]"""
    may_stand_on_floor: bool = field(init=False)
    """Whether its links may all ask for less than its floor."""

    def __post_init__(self) -> None:
        draw = self.draw
        known = object.__setattr__
        known(self, "is_idle", self.work == 0 and draw is None and not self.risks)
        known(self, "least_work", self.work if draw is None else draw.least)
        drawn_floor = None if draw is None else draw.floor
        known(self, "begin_floor", np.int32(self.floor if drawn_floor is None else drawn_floor))
        known(self, "may_stand_on_floor", self.floor > 0 or any(
            tie.elapsed_lag < 0 or tie.work_lag < 0 for tie in self.starts
        ))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Factor:
    """
    A factor shared by the work of several steps.

    exp(mean + loadings . z) with z independent standard normal draws, one for each name.
    """

    mean: float
    loadings: Mapping[str, float]
    """By the name of each normal draw."""
    hidden_share: float = 0.0
    """Hidden work on average, as a share; 0 for a factor of pace."""


@dataclass(frozen=True, slots=True)
class CourseModel:
    """
    A plan made ready for the runs.

    Attributes
    ----------
    origin
        The instant from which grains are counted. [ticks]
    grain
        [ticks]
    calendars
        By number.
    steps
        In topological order.
    factors
        By name.
    settled
        The latest finish of what is done; the project cannot finish before. [grains,
        negative where it was over before the origin]
    """

    origin: int
    grain: int
    calendars: tuple[Calendar, ...]
    steps: tuple[Step, ...]
    factors: Mapping[str, Factor]
    settled: int

    @property
    def unit(self) -> int:
        """What drawn work is rounded to, the same for every plan: a 24th of a day. [grains]"""
        return ROUNDED_TO // self.grain

    def tables(self, days: int) -> GrainTables:
        """Return the calendars over so many dates from the origin."""
        return tables_of(self.calendars, self.origin // TICKS_PER_DAY, days, self.grain)


@dataclass(frozen=True, slots=True)
class Source:
    """
    One thing that can go otherwise than planned.

    Attributes
    ----------
    kind, id
        As in `Cause`.
    steps
        The steps as they are if it goes exactly as planned, by number.
    factors
        Shared factors that are 1 then.
    drawn
        The step whose drawn work is the source's own, if it is a single one.
    """

    kind: str
    id: str
    steps: Mapping[int, Step] = field(default_factory=dict)
    factors: frozenset[str] = frozenset()
    drawn: int | None = None
