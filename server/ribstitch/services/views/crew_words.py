"""People and places as a shop speaks of them: "the only fabric worker", "2 of the painters"."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from ribstitch.charts.paper import plural
from ribstitch.planning.crews import crew_of
from ribstitch.planning.model import CrewLink, CrewLinkKind, Plan

_NUMBER = re.compile(r"\s*\d+$")
_ASIDE = re.compile(r"\s*\([^()]*\)$")


@dataclass(frozen=True, slots=True)
class Hands:
    """Who works at some trades."""

    people: int
    one: str
    """What one of them is called: "metalworker", or a name of their own."""
    is_name: bool
    """Whether that is the name of a single person."""

    @property
    def many(self) -> str:
        """What several of them are called."""
        head, joined, rest = self.one.partition(" for ")
        plural = "people" if head == "person" else f"{head}s"
        return f"{plural}{joined}{rest}"


def hands_of(plan: Plan, trades: Collection[str]) -> Hands:
    """Return who works at some trades: as many as there are, by what they are called."""
    rows = crew_of(plan, trades)
    people = sum(row.people for row in rows)
    if people == 1 and _is_name(rows[0].label):
        return Hands(1, rows[0].label, is_name=True)
    called = {_calling(row.label) for row in rows} - set(trades)
    one = called.pop() if len(called) == 1 else ""
    return Hands(people, one or f"person for {in_a_row(sorted(trades), 'or')}", is_name=False)


def taken_from(plan: Plan, link: CrewLink, first: str, *, only: bool = False) -> str:
    """
    Return whom or what a task waits for, and that another one comes first.

    Parameters
    ----------
    plan
        The plan.
    link
        The crew link.
    first
        What the task is called that comes first.
    only
        Whether to say that there is no other: "the only metalworker".

    Returns
    -------
    str
        "the metalworker, who first does the frame".
    """
    if link.kind is CrewLinkKind.PLACE:
        return _room_in(plan, link, first)
    hands, units = hands_of(plan, link.names), link.units
    if hands.is_name:
        return f"{hands.one}, who first does {first}"
    if hands.people == 1:
        return f"the {'only ' if only else ''}{hands.one}, who first does {first}"
    if units == 1:
        is_vowel = hands.one[:1].lower() in "aeio"
        return f"{'an' if is_vowel else 'a'} {hands.one}, who first does {first}"
    if units == hands.people == 2:
        return f"both {hands.many}, who first do {first}"
    if units == hands.people:
        return f"all {units} {hands.many}, who first do {first}"
    return f"{units} {hands.many}, who first do {first}"


def place_name(plan: Plan, place: str) -> str:
    """Return what a place is called."""
    return next((one.name or one.id for one in plan.places if one.id == place), place)


def in_a_row(names: Collection[str], joint: str = "and") -> str:
    """Join names as one does in a sentence: ``a, b and c``."""
    *first, last = names
    return f"{', '.join(first)} {joint} {last}" if first else last


def spell(days: float) -> str:
    """Write a span of elapsed days: in weeks, where it is two of them or more."""
    return plural(round(days / 7), "week") if days >= 14 else plural(days, "day")


def _room_in(plan: Plan, link: CrewLink, first: str) -> str:
    """Return for what place a task waits, and which one comes first."""
    names = in_a_row([place_name(plan, one) for one in link.names])
    room = sum(one.capacity for one in plan.places if one.id in link.names)
    is_whole = room <= len(link.names)
    return f"{'the' if is_whole else 'room in the'} {names}, where first comes {first}"


def _calling(label: str) -> str:
    """Return what somebody is, out of a label such as ``Metalworker 1``; else nothing."""
    plain = _NUMBER.sub("", _ASIDE.sub("", label)).strip()
    if not plain or _is_name(label):
        return ""
    is_word = plain[1:2].islower()
    return plain[0].lower() + plain[1:] if is_word else plain


def _is_name(label: str) -> bool:
    """Return whether a label is somebody's name: capitals, and no number behind."""
    words = label.split()
    return bool(words) and all(word[:1].isupper() for word in words) and not _NUMBER.search(label)
