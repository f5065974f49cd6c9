"""The owner's page: when it will be finished, why, what comes next, what was spent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from ribstitch.planning.model import State
from ribstitch.planning.uncertainty import Spread
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.chain import ChainStep, critical_chain, step
from ribstitch.services.views.lookups import float_days
from ribstitch.services.views.progress import share_done
from ribstitch.services.views.spend import Spend, spend
from ribstitch.services.views.stages import stage_of
from ribstitch.services.views.task_card import card_at, urgency
from ribstitch.services.views.title_block import late_days
from ribstitch.store import LoggedForecast, LoggedSpread

NEXT = timedelta(days=28)
"""How far "what comes next" looks ahead."""
_MOST_NEXT = 8


@dataclass(frozen=True, slots=True)
class MilestoneLine:
    """A milestone with its dates."""

    id: str
    name: str
    finish: date
    late_finish: date
    total_float_days: float
    done: bool


@dataclass(frozen=True, slots=True)
class LogLine:
    """What the forecast was on a date; how sure it was, where that was worked out."""

    on: date
    finish: date
    reason: str
    plan_version: int
    p10: date | None = None
    p50: date | None = None
    p80: date | None = None
    p90: date | None = None
    chance_of_target: float | None = None
    """0 to 1; None as well without a wanted finish."""
    runs: int | None = None
    seed: int | None = None
    forecast_engine: int | None = None
    """Which way of simulating it was."""

    @property
    def spread(self) -> Spread | None:
        """The percentiles together; None where they were not worked out."""
        if self.p10 is None or self.p50 is None or self.p80 is None or self.p90 is None:
            return None
        return Spread(self.p10, self.p50, self.p80, self.p90)


@dataclass(frozen=True, slots=True)
class Question:
    """A price that waits for the owner's yes."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class ForecastView:
    """The owner's page."""

    plan_version: int
    as_of: date
    finish: date
    target_finish: date | None
    late_days: int | None
    weeks_to_go: float
    done_share: float
    milestones: list[MilestoneLine]
    why: list[ChainStep]
    next: list[ChainStep]
    log: list[LogLine]
    spend: Spend
    waiting_for_owner: list[Question]


def forecast_view(
    current: CurrentPlan, log: Sequence[LoggedForecast], spreads: Sequence[LoggedSpread] = ()
) -> ForecastView:
    """
    Return the owner's page.

    Parameters
    ----------
    current
        The plan.
    log
        The project's forecast log, oldest first.
    spreads
        How sure its forecasts were, oldest first.
    """
    return ForecastView(
        plan_version=current.plan_version,
        as_of=current.as_of,
        finish=current.finish_on,
        target_finish=current.plan.project.target_finish,
        late_days=late_days(current),
        weeks_to_go=round((current.finish_on - current.as_of).days / 7, 1),
        done_share=share_done(current.plan.tasks),
        milestones=_milestones(current),
        why=critical_chain(current),
        next=_next(current),
        log=movements(log, spreads),
        spend=spend(current),
        waiting_for_owner=[
            Question(item.id, item.name or item.id)
            for item in current.plan.send_outs
            if stage_of(current, item).name == "approval"
        ],
    )


def _milestones(current: CurrentPlan) -> list[MilestoneLine]:
    """Return the milestones by date."""
    schedule = current.schedule
    found = [
        MilestoneLine(
            id=task.id,
            name=task.name or task.id,
            finish=schedule.finish_on_of(number),
            late_finish=schedule.late_finish_on(number),
            total_float_days=float_days(current, number),
            done=task.status.state is State.DONE,
        )
        for number, task in enumerate(current.plan.tasks)
        if task.milestone is not None and task.status.state is not State.DROPPED
    ]
    return sorted(found, key=lambda one: one.finish)


def _next(current: CurrentPlan) -> list[ChainStep]:
    """Return the work of the next weeks that protects the finish, by date."""
    until = current.as_of + NEXT
    open_states = {State.NOT_STARTED, State.IN_WORK}
    soon = [
        number
        for number, task in enumerate(current.plan.tasks)
        if task.status.state in open_states
        and task.milestone is None
        and current.schedule.start_on(number) <= until
    ]
    soon.sort(key=lambda number: urgency(current, number))
    first = sorted(soon[:_MOST_NEXT], key=lambda number: int(current.schedule.begin[number]))
    return [step(current, number, card_at(current, number).why) for number in first]


def movements(log: Sequence[LoggedForecast], spreads: Sequence[LoggedSpread]) -> list[LogLine]:
    """
    Return the entries at which the forecast moved or the as-of date went on, and the last.

    Of several spreads of one plan version the one that was logged last counts.
    """
    by_version = {one.plan_version: one for one in spreads}
    kept: list[LogLine] = []
    known: tuple[date | None, date | None] = (None, None)
    for place, entry in enumerate(log):
        line = _log_line(entry, by_version.get(entry.plan_version))
        dates = known if line.p50 is None else (line.p50, line.p80)
        moved = not kept or (line.finish, line.on) != (kept[-1].finish, kept[-1].on)
        if moved or dates != known or place == len(log) - 1:
            kept.append(line)
        known = dates
    return kept


def _log_line(entry: LoggedForecast, spread: LoggedSpread | None) -> LogLine:
    """Return an entry of the log with what is known of how sure it was."""
    line = LogLine(entry.as_of, entry.finish, entry.reason, entry.plan_version)
    if spread is None:
        return line
    return replace(
        line,
        p10=spread.p10,
        p50=spread.p50,
        p80=spread.p80,
        p90=spread.p90,
        chance_of_target=spread.chance_of_target,
        runs=spread.runs,
        seed=spread.seed,
        forecast_engine=spread.engine,
    )
