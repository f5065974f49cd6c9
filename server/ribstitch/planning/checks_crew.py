"""Refuse crew links and expedites that make no sense."""

from __future__ import annotations

from ribstitch.planning.check_values import check_duration, check_known, check_names
from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import CrewLinkKind, Expedite, Plan, SendOut
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks

EXPEDITED_LEGS = {
    "prepare": "prepare",
    "ship_out": "ship_out",
    "customs_out": "customs_out",
    "intake": "intake",
    "approval": "approval",
    "vendor_work": "lead",
    "ship_back": "ship_back",
    "customs_back": "customs_back",
    "accept": "accept",
}
"""Legs that can be hurried, and the field of a send-out that says how long each takes."""


def check_crew_links(plan: Plan, tasks: set[str], places: set[str]) -> None:
    """
    Check crew links; loops are found when the network is built.

    Raises
    ------
    InvalidValueError, UnknownReferenceError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    seen: set[tuple[str, str]] = set()
    for number, link in enumerate(plan.crew_links):
        where = f"crew_links[{number}]"
        check_known(link.before, tasks, f"{where}.from", "task")
        check_known(link.after, tasks, f"{where}.to", "task")
        if link.before == link.after:
            raise InvalidValueError(where, f'"{link.before}" is linked to itself', link.before)
        if (link.before, link.after) in seen:
            raise InvalidValueError(
                where, f'"{link.after}" waits for "{link.before}" already', link.before
            )
        seen.add((link.before, link.after))
        if link.kind is CrewLinkKind.PLACE:
            check_names(link.names, places, f"{where}.names", "place")
            if not link.names:
                raise InvalidValueError(
                    f"{where}.names", f'"{link.after}" waits for a place, and none is named', None
                )


def check_expedites(plan: Plan, tasks: set[str]) -> None:
    """
    Check expedites.

    Raises
    ------
    InvalidValueError, UnknownReferenceError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    send_outs = {item.id: item for item in plan.send_outs}
    for number, one in enumerate(plan.expedites):
        where = f"expedites[{number}]"
        _check_expedite(one, where)
        check_known(one.task, tasks, f"{where}.task", "task")
        if (one.task is None) == (one.send_out is None):
            both = "both a task and a send-out" if one.task else "neither a task nor a send-out"
            raise InvalidValueError(
                f"{where}.{'send_out' if one.task else 'task'}",
                f'"{one.id}" names {both}',
                one.send_out,
            )
        if one.send_out is not None:
            if one.send_out not in send_outs:
                raise UnknownReferenceError(f"{where}.send_out", "send-out", one.send_out)
            _check_leg(one, send_outs[one.send_out], where)


def _check_expedite(one: Expedite, where: str) -> None:
    """Check days and cost."""
    check_duration(one.gains, f"{where}.gains_days")
    check_duration(one.taken, f"{where}.taken_days")
    if one.gains == 0:
        raise InvalidValueError(f"{where}.gains_days", f'"{one.id}" takes off nothing', 0)
    if one.taken > one.gains:
        days = days_from_ticks(one.taken)
        raise InvalidValueError(
            f"{where}.taken_days", f'"{one.id}" cannot take off {days:g} days', days
        )
    if one.cost < 0:
        raise InvalidValueError(f"{where}.cost", f"{one.cost} is less than nothing", one.cost)
    for key, ticks in (("gains_days", one.gains), ("taken_days", one.taken)):
        if one.by_the_day and ticks % TICKS_PER_DAY:
            days = days_from_ticks(ticks)
            raise InvalidValueError(
                f"{where}.{key}", f'"{one.id}" is bought by the day, and {days:g} is no whole one',
                days,
            )  # fmt: skip
    if not one.by_the_day and one.taken not in (0, one.gains):
        days = days_from_ticks(one.taken)
        raise InvalidValueError(
            f"{where}.taken_days", f'"{one.id}" is all or nothing, and {days:g} is neither', days
        )


def _check_leg(one: Expedite, item: SendOut, where: str) -> None:
    """Check that the send-out has the leg that is hurried."""
    if one.leg not in EXPEDITED_LEGS:
        known = ", ".join(EXPEDITED_LEGS)
        raise InvalidValueError(f"{where}.leg", f'"{one.leg}" is not one of {known}', one.leg)
    promised = one.leg == "vendor_work" and item.status.promised is not None
    if not getattr(item, EXPEDITED_LEGS[one.leg]) and not promised and not one.taken:
        raise InvalidValueError(
            f"{where}.leg", f'the send-out "{item.id}" has no leg "{one.leg}"', one.leg
        )
