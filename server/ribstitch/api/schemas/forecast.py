"""When it will be finished, and why; late curves; cases."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from ribstitch.api.schemas.base import Answer, CalendarDays, Days, Named, PlanVersion


class MilestoneLine(Named):
    """A milestone with its dates."""

    finish: date
    late_finish: date
    total_float_days: Days
    done: bool


class WhyLine(Named):
    """One step of the chain that sets the finish."""

    zone_name: str
    start: date
    finish: date
    sentence: str


class LogLine(Answer):
    """What the forecast was."""

    on: date
    finish: date
    reason: str
    plan_version: PlanVersion


class MoneyIn(Answer):
    """Money in one currency, in decimal strings."""

    currency: str
    budget: str
    paid: str


class Spend(MoneyIn):
    """Money in the project's currency, and in each of the others as it was paid."""

    by_currency: list[MoneyIn]


class ForecastAnswer(Answer):
    """The owner's page."""

    plan_version: PlanVersion
    as_of: date
    finish: date
    target_finish: date | None
    late_days: CalendarDays | None
    weeks_to_go: float
    done_share: float = Field(ge=0, le=1, description="By planned work days")
    milestones: list[MilestoneLine]
    why: list[WhyLine]
    next: list[WhyLine]
    log: list[LogLine]
    spend: Spend
    waiting_for_owner: list[Named]


class LateCurveAnswer(Answer):
    """The project finish against days late."""

    days: list[int]
    finish: list[date]
    moved_days: list[CalendarDays]
    grace_days: Days


class PlanSide(Answer):
    """The plan that cases are compared with."""

    finish: date
    critical_path: list[str]


class MovedMilestone(Named):
    """A milestone in the plan and in a case."""

    plan: date
    case: date
    moved_days: CalendarDays


class CaseSide(Answer):
    """What a case does."""

    name: str
    finish: date
    moved_days: CalendarDays
    critical_path: list[str]
    new_on_path: list[str]
    milestones: list[MovedMilestone]


class CasesAnswer(Answer):
    """The plan and the cases side by side."""

    plan: PlanSide
    cases: list[CaseSide]
