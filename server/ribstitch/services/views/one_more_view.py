"""What one more hand, day or place would gain, in words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import Literal

from ribstitch.charts.paper import plural
from ribstitch.planning.levelling import Gain, GainKind, OneMore
from ribstitch.planning.model import Plan
from ribstitch.planning.trades import trade_name
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.crew_words import hands_of, place_name

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True)
class GainLine:
    """What one more of something would bring."""

    kind: Literal["person", "day", "place"]
    trade: str | None
    """Of one more person."""
    calendar: str | None
    """On which one more day a week is worked."""
    weekday: int | None
    """Which day that is; 0 is Monday."""
    place: str | None
    """Of which there is one more."""
    name: str
    finish: date
    gain_days: int
    """Calendar days that the finish comes closer."""
    proven: bool
    """Whether it is exactly that."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Gains:
    """What one more of each would bring, the largest gain first."""

    base_finish: date
    """The levelled finish with nothing more."""
    gains: list[GainLine]


def gain_lines(current: CurrentPlan, found: OneMore) -> Gains:
    """Return what one more of each would bring."""
    plan = current.plan
    trades = [gain.name for gain in found.gains if gain.kind is GainKind.PERSON]
    called = {trade: hands_of(plan, (trade,)) for trade in trades}
    often = Counter(hands.one for hands in called.values())
    people = {
        trade: hands.one
        if often[hands.one] == 1 and not hands.is_name
        else f"person for {trade_name(trade).lower()}"
        for trade, hands in called.items()
    }
    return Gains(found.base.finish_on, [_line(plan, people, gain) for gain in found.gains])


def _line(plan: Plan, people: dict[str, str], gain: Gain) -> GainLine:
    if gain.kind is GainKind.PERSON:
        name, what = trade_name(gain.name), f"One more {people[gain.name]}"
    elif gain.kind is GainKind.DAY:
        name, what = _day(plan, gain)
    else:
        name = place_name(plan, gain.name)
        what = f"Room for one more in the {name}"
    return GainLine(
        kind=gain.kind.value,
        trade=gain.name if gain.kind is GainKind.PERSON else None,
        calendar=gain.name if gain.kind is GainKind.DAY else None,
        weekday=gain.weekday,
        place=gain.name if gain.kind is GainKind.PLACE else None,
        name=name,
        finish=gain.finish,
        gain_days=gain.days,
        proven=gain.is_proven,
        sentence=_sentence(what, gain),
    )


def _sentence(what: str, gain: Gain) -> str:
    """Say what it would do to the finish, and whether that is exactly so."""
    days, is_proven = plural(gain.days, "day"), gain.is_proven
    if not gain.days:
        found = f"{what} would bring the finish no closer"
        return f"{found}." if is_proven else f"{found}, as far as was found."
    about = days if is_proven else f"about {days}"
    return f"{what} would bring the finish {about} closer, to {gain.finish}."


def _day(plan: Plan, gain: Gain) -> tuple[str, str]:
    """Return what one more day a week is called, and the same to begin a sentence with."""
    calendar = next(one for one in plan.calendars if one.id == gain.name)
    name, weekday = calendar.name or calendar.id, _WEEKDAYS[gain.weekday or 0]
    return f"{weekday}, {name}", f'{weekday} as a working day of "{name}"'
