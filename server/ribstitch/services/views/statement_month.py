"""What happened to the money in one month: paid, worked, decided, done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.money import Bucket, Entry
from ribstitch.money.months import end_of_month, month_of
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Decision, State
from ribstitch.services.evidence import chosen, dated
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import vendor_names, zone_names
from ribstitch.services.views.money_lines import chapter_titles, is_agreed, named
from ribstitch.services.views.money_sums import ledger, money_forecast, promised, spent
from ribstitch.services.views.money_words import month_words, text
from ribstitch.services.views.statement_shape import (
    ApprovedBaseline,
    DecidedItem,
    DoneTask,
    MonthPhoto,
    PaidLine,
    StatementChapter,
)

_MOST_PHOTOS = 6
"""On a statement."""
_SPENT = frozenset({Bucket.PAID, Bucket.WORKED})


@dataclass(frozen=True, slots=True)
class Span:
    """The dates of a month, as far as they are gone by."""

    first: date
    last: date

    def __contains__(self, day: date | None) -> bool:
        return day is not None and self.first <= day <= self.last


def span_of(current: CurrentPlan, month: date | None) -> Span:
    """
    Return the dates of a month; None is that of the as-of date.

    Raises
    ------
    InvalidValueError
        If the month is before the project or after the as-of date.
    """
    first, last = month_of(current.plan.project.start), month_of(current.as_of)
    wanted = last if month is None else month_of(month)
    if wanted > last:
        reason = f"{month_words(wanted)} is after the as-of date {current.as_of}"
        raise InvalidValueError("month", reason, wanted)
    if wanted < first:
        reason = f"{month_words(wanted)} is before the project began, in {month_words(first)}"
        raise InvalidValueError("month", reason, wanted)
    return Span(wanted, min(end_of_month(wanted), max(current.as_of, wanted)))


def entries_in(current: CurrentPlan, span: Span) -> list[Entry]:
    """Return what was paid and worked in a month."""
    return [one for one in ledger(current).entries if one.bucket in _SPENT and one.on in span]


def payments(current: CurrentPlan, entries: list[Entry]) -> list[PaidLine]:
    """Return the payments among some entries, by date."""
    lines = {line.id: line for line in current.plan.costs}
    vendors, own = vendor_names(current), ledger(current).currency
    paid = sorted((one for one in entries if one.bucket is Bucket.PAID), key=lambda one: one.on)
    return [
        PaidLine(
            on=one.on,
            of=one.of,
            name=lines[one.of].name or one.of,
            vendor=vendors[one.vendor] if one.vendor else "",
            document=lines[one.of].document,
            amount=text(one.amount, one.currency),
            currency=one.currency,
            worth=text(one.worth, own),
            in_kind=one.in_kind,
        )
        for one in paid
    ]


def hours_in(current: CurrentPlan, span: Span) -> Decimal:
    """Return the hours of the timesheet in a month."""
    return sum((one.hours for one in current.plan.hours if one.on in span), Decimal(0))


def chapters_in(current: CurrentPlan, entries: list[Entry]) -> list[StatementChapter]:
    """Return spend against budget by chapter, with what some entries add up to."""
    forecast, titles = money_forecast(current), chapter_titles(current.plan)
    currency = forecast.budget.currency
    sums: dict[str | None, int] = {}
    for one in entries:
        sums[one.chapter] = sums.get(one.chapter, 0) + one.worth
    return [
        StatementChapter(
            *named(one.chapter, titles),
            is_agreed=is_agreed(one, forecast.budget),
            budget=text(one.budget, currency),
            this_month=text(sums.get(one.chapter, 0), currency),
            spent=text(spent(one), currency),
            committed=text(promised(one), currency),
            expected=text(one.expected, currency),
            at_completion=text(one.at_completion, currency),
            over=text(one.over, currency),
        )
        for one in forecast.chapters
    ]


def done_in(current: CurrentPlan, span: Span) -> list[DoneTask]:
    """Return the work that was finished in a month, by date."""
    zones = zone_names(current)
    found = [
        DoneTask(task.id, task.name or task.id, zones.get(task.zone or "", ""), finished)
        for task in current.plan.tasks
        if task.status.state is State.DONE
        for finished in (task.status.finished,)
        if finished is not None and finished in span
    ]
    return sorted(found, key=lambda one: one.finished)


def photos_in(current: CurrentPlan, span: Span) -> list[MonthPhoto]:
    """Return some photos of a month, by date: those with a caption first, then the latest."""
    found = [
        one
        for one in chosen(current, {}, (span.first, span.last))
        if one.media_type.startswith("image/")
    ]
    best = sorted(found, key=lambda one: (bool(one.caption), dated(one)), reverse=True)
    return [
        MonthPhoto(
            key=one.id,
            sha256=one.sha256,
            media_type=one.media_type,
            name=one.name,
            caption=one.caption,
            taken_on=one.taken_on,
            added_on=one.added_on,
            by=one.by,
        )
        for one in sorted(best[:_MOST_PHOTOS], key=dated)
    ]


def decided_in(current: CurrentPlan, span: Span) -> list[DecidedItem]:
    """Return what was decided in a month."""
    own = current.plan.project.currency
    return [
        DecidedItem(
            key=item.id,
            name=item.name,
            amount=str(item.amount),
            currency=item.currency or own,
            state=item.state.value,
            decided_on=item.decided_on,
            decided_by=item.decided_by,
            reason=item.reason,
        )
        for item in current.plan.over_and_above
        if item.state is not Decision.WAITING
        and item.decided_on is not None
        and item.decided_on in span
    ]


def baselines_in(current: CurrentPlan, span: Span) -> list[ApprovedBaseline]:
    """Return the baselines of a month."""
    return [
        ApprovedBaseline(
            one.id,
            one.approved_on,
            one.finish,
            one.reason,
            str(sum((package.amount for package in one.packages), Decimal(0))),
        )
        for one in current.plan.baselines
        if one.approved_on in span
    ]
