"""What plan health counts: the checks, their limits, and where each limit comes from.

The ten practices are those of the Schedule Assessment Guide of the US Government
Accountability Office (GAO-16-89G, 2015). It names practices and hardly any limits; most
limits are those of the 14-point assessment of the US Defense Contract Management Agency.
Every limit is a share: of what is counted, how much may (or must) be so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.ticks import EIGHTH, TICKS_PER_DAY

PRACTICES: Mapping[int, str] = {
    1: "All work is in the plan",
    2: "Work is in order",
    3: "Somebody does it",
    4: "Durations are sound",
    5: "What belongs together is tied together",
    6: "The critical path is true",
    7: "What can wait is plausible",
    8: "Uncertainty is looked at",
    9: "The status is kept",
    10: "It is held against the approved plan",
}
"""The ten practices of GAO-16-89G, in its order and in our words."""

_READ = "DCMA 14-point assessment, as an article about it gives it"
_DCMA = "DCMA 14-point assessment, from memory: not confirmed in its own text"
_GUIDE = "practice of GAO-16-89G, which gives no figure"
_OURS = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Rule:
    """
    One check: what it counts, of what, and what is good enough.

    `limit` is a share of 1: at most so much, or with `at_least` at least so much; None
    lists what was found and judges nothing until the shop sets a limit.
    """

    id: str
    practice: int
    counts: str
    of: str
    limit: float | None
    source: str
    advice: str
    at_least: bool = False

    @property
    def highest(self) -> float:
        """The largest limit that makes sense; an index can be wanted above 1."""
        return 2.0 if self.at_least else 1.0


@dataclass(frozen=True, slots=True)
class Threshold:
    """From how many working days on something counts as long."""

    id: str
    days: float
    means: str


RULES = (
    Rule(
        "names", 1, "Open tasks without a name, or with the name of another", "open tasks",
        0.0, _GUIDE, "Give each task a name that nothing else has.",
    ),
    Rule(
        "cost_codes", 1, "Open tasks without a chapter", "open tasks",
        0.0, _GUIDE, "Give each the chapter that its cost belongs to.",
    ),
    Rule(
        "missing_links", 2, "Open tasks with nothing before them, or nothing after them",
        "open tasks", 0.05, _READ,
        "Link each to what must come first and to what waits for it: "
        "until then, its delay moves nothing.",
    ),
    Rule(
        "dangling_starts", 2, "Tasks whose start waits for nothing", "open tasks",
        0.0, _GUIDE, "Link the start to the work or the milestone that lets it begin.",
    ),
    Rule(
        "dangling_finishes", 2, "Tasks whose finish nothing waits for", "open tasks",
        0.0, _GUIDE, "Link the finish to the next work, or to the milestone that ends the job.",
    ),
    Rule(
        "leads", 2, "Links with days taken off (leads)", "links to open work",
        0.0, _DCMA, "Split the earlier task where the later one can begin, and link to that part.",
    ),
    Rule(
        "lags", 2, "Links with days of waiting in them (lags)", "links to open work",
        0.05, _DCMA, "Make the waiting a task of its own, such as drying, so that it can be seen.",
    ),
    Rule(
        "finish_start", 2, "Links by which one task follows the finish of another",
        "links to open work", 0.9, _DCMA,
        "See whether the others can be said as one task after another: that is easiest to follow.",
        at_least=True,
    ),
    Rule(
        "hard_dates", 2, "Open tasks with a deadline of their own", "open tasks",
        0.05, _DCMA, "Let links set the dates, and keep deadlines for what is owed to others.",
    ),
    Rule(
        "merge_points", 2, "Tasks that wait for several at once", "open tasks",
        None, _OURS, "Watch these: one late arrival of several is enough to hold them up.",
    ),
    Rule(
        "no_crew", 3, "Open tasks that nobody is there for", "open tasks",
        0.0, _DCMA, "Give each a trade of the crew, or the cost line that pays for it.",
    ),
    Rule(
        "over_crew", 3, "Days on which a trade is asked for more hours than it has",
        "days of a trade", 0.0, _GUIDE,
        "Move what can wait, or find more hands: this many cannot be done at once.",
    ),
    Rule(
        "long_tasks", 4, "Open tasks that take very long", "open tasks",
        0.05, _DCMA, "Cut each into pieces that can be seen to be finished.",
    ),
    Rule(
        "no_zone", 5, "Open tasks outside every zone", "open tasks",
        0.0, _GUIDE, "Put each into the zone whose progress it belongs to.",
    ),
    Rule(
        "loose_send_outs", 5, "Items away that are not tied to the work in the shop",
        "items still to come back", 0.0, _GUIDE,
        "Say which task frees the item and which one waits for it.",
    ),
    Rule(
        "slip_moves_finish", 5, "Trial: work later than it can be, and the finish stays",
        "trials", 0.0, _GUIDE,
        "The floats of this plan cannot be relied on: please report it with the plan file.",
    ),
    Rule(
        "path_length_index", 6,
        "Working days left until the target, against those that the work still takes",
        "working days to the finish", 0.95, _DCMA,
        "The target is out of reach by too much: pull work in, or agree on another date.",
        at_least=True,
    ),
    Rule(
        "path_by_date", 6, "Steps to the finish that wait for a date instead of for work",
        "steps that set the finish", 0.0, _GUIDE,
        "See whether the date is real; if it is, put what it stands for into the plan.",
    ),
    Rule(
        "path_absorbs_delay", 6, "Steps to the finish that swallow a part of their own delay",
        "steps tried", 0.0, _GUIDE,
        "Link the start of each to what comes before, and its finish to what comes after.",
    ),
    Rule(
        "large_floats", 7, "Open tasks that can wait very long", "open tasks",
        0.05, _DCMA, "Look for a link that is missing: most work is needed sooner than that.",
    ),
    Rule(
        "negative_floats", 7, "Open tasks that are too late for the target or a deadline",
        "open tasks", 0.0, _DCMA, "Pull work in, or agree on another date.",
    ),
    Rule(
        "no_range", 8, "Open tasks without a range of days", "open tasks",
        None, _OURS, "Say how few and how many days each may take; else it counts as certain.",
    ),
    Rule(
        "dates_out_of_time", 9, "Dates on the wrong side of the as-of date", "tasks and legs",
        0.0, _DCMA, "Record what has happened, and nothing that has not.",
    ),
    Rule(
        "out_of_sequence", 9, "Tasks begun before what they wait for was finished", "tasks begun",
        None, _OURS, "Correct the link if the order was right after all.",
    ),
    Rule(
        "late_against_baseline", 10, "Tasks not finished by their approved date",
        "tasks due by the as-of date", 0.05, _DCMA,
        "Say what holds each, and plan anew from where the work stands.",
    ),
    Rule(
        "execution_index", 10, "Tasks finished for each that the approved plan has finished by now",
        "tasks due by the as-of date", 0.95, _DCMA,
        "Less is finished than was agreed: look at what is held and what waits.",
        at_least=True,
    ),
)  # fmt: skip
"""All checks, by practice."""

LONG_TASK_DAYS = Threshold("long_task_days", 44, "A task takes very long from more than")
LARGE_FLOAT_DAYS = Threshold("large_float_days", 44, "A task can wait very long from more than")
THRESHOLDS = (LONG_TASK_DAYS, LARGE_FLOAT_DAYS)
"""Both are two months of working days in the DCMA 14-point assessment (from memory)."""
_MOST_DAYS = 1000


def limits_of(changed: Mapping[str, float]) -> dict[str, float | None]:
    """Return the limit of each check and the days of each threshold, with a shop's own in place."""
    usual: dict[str, float | None] = {rule.id: rule.limit for rule in RULES}
    usual |= {one.id: one.days for one in THRESHOLDS}
    return usual | dict(changed)


def check_limits(changed: Mapping[str, float], where: str) -> None:
    """
    Refuse a limit of something that is not checked, or one that makes no sense.

    Raises
    ------
    UnknownReferenceError, InvalidValueError
        With the limit's own key path under `where`.
    """
    highest = {rule.id: rule.highest for rule in RULES}
    days = {one.id for one in THRESHOLDS}
    for name, value in changed.items():
        if name in days:
            if not EIGHTH / TICKS_PER_DAY <= value <= _MOST_DAYS:
                raise InvalidValueError(
                    f"{where}.{name}",
                    f"{value:g} days is not between an eighth of a day and {_MOST_DAYS} days",
                    value,
                )
        elif name not in highest:
            raise UnknownReferenceError(f"{where}.{name}", "health check", name)
        elif not 0 <= value <= highest[name]:
            raise InvalidValueError(
                f"{where}.{name}",
                f"{value:g} is not between 0 and {highest[name]:g}, where 0.05 is 5 %",
                value,
            )
