"""The command that pulls a plan in: the cheapest expedites for a date, a sum, the curve."""

from __future__ import annotations

import json
import time
from datetime import date
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from math import isfinite
from typing import Any

import typer

from ribstitch.cli.plans import Loaded
from ribstitch.cli.refusal import RefusedError
from ribstitch.money.currencies import minor_digits
from ribstitch.planning.errors import PlanError
from ribstitch.planning.pulling_in import (
    PulledIn,
    cheapest,
    cost_curve,
    cost_of_all,
    soonest_for,
)

_LONGEST_SECONDS = 86_400.0
_OPTIONS = {"finish_by": "--by", "budget": "--budget"}


def show_pulled_in(
    loaded: Loaded,
    by: str | None,
    budget: str | None,
    seconds: float,
    *,
    curve: bool,
    as_json: bool,
) -> None:
    """
    Pull a plan in and print what to take.

    Raises
    ------
    RefusedError
        If an option is refused, or the plan cannot be pulled in as asked.
    """
    if [by is not None, budget is not None, curve].count(True) != 1:
        raise RefusedError("give one of --by DATE, --budget AMOUNT and --curve")
    if not (isfinite(seconds) and 0 < seconds <= _LONGEST_SECONDS):
        raise RefusedError(
            f"--seconds {seconds:g}: is not more than 0 and up to {_LONGEST_SECONDS:.0f}"
        )
    try:
        if by is not None:
            found = cheapest(loaded.plan, _date(by), seconds=seconds, clock=time.monotonic)
        elif budget is not None:
            found = soonest_for(loaded.plan, _sum(budget), seconds=seconds, clock=time.monotonic)
        else:
            _show_curve(loaded, seconds, as_json=as_json)
            return
    except PlanError as refused:
        option = _OPTIONS.get(refused.where)
        said = str(refused) if option is None else f"{option}: {refused.reason}"
        raise RefusedError(f"{loaded.name}: {said}") from refused
    _show_answer(loaded, found, as_json=as_json)


def answer_document(loaded: Loaded, found: PulledIn) -> dict[str, Any]:
    """Return one answer as JSON-ready data; money in the project's currency."""
    return {
        "currency": loaded.plan.project.currency,
        "planned_finish": loaded.schedule.finish_on.isoformat(),
        **_point(loaded, found),
    }


def curve_document(loaded: Loaded, found: tuple[PulledIn, ...]) -> dict[str, Any]:
    """Return the whole curve as JSON-ready data; money in the project's currency."""
    return {
        "currency": loaded.plan.project.currency,
        "planned_finish": loaded.schedule.finish_on.isoformat(),
        "earliest_finish": found[-1].finish_on.isoformat(),
        "all_cost": _money(loaded, cost_of_all(loaded.plan)),
        "curve": [_point(loaded, one) for one in found],
    }


def _point(loaded: Loaded, found: PulledIn) -> dict[str, Any]:
    """Return one finish and what it takes."""
    return {
        "finish": found.finish_on.isoformat(),
        "cost": _money(loaded, found.cost),
        "proven": found.is_proven,
        "gap": _money(loaded, found.gap),
        "taken": [
            {
                "expedite": one.expedite,
                "name": one.name,
                "days": one.days,
                "cost": _money(loaded, one.cost),
            }
            for one in found.taken
        ],
    }


def _show_answer(loaded: Loaded, found: PulledIn, *, as_json: bool) -> None:
    """Print one answer."""
    document = answer_document(loaded, found)
    if as_json:
        typer.echo(json.dumps(document, ensure_ascii=False))
        return
    typer.echo(f"Finish as planned  {document['planned_finish']}")
    if not found.taken:
        typer.echo("The plan is finished by then as it is: nothing has to be taken.")
        return
    typer.echo(f"Finish pulled in   {document['finish']}")
    typer.echo(f"Cost               {document['cost']} {document['currency']}")
    for one in document["taken"]:
        days = "1 day" if one["days"] == 1 else f"{one['days']:g} days"
        typer.echo(f"  {one['expedite']}  {days} less for {one['cost']}  {one['name']}")
    if found.is_proven:
        typer.echo("Proven: no other choice is better.")
    else:
        typer.echo(f"Not proven: another choice could save up to {document['gap']}.")


def _show_curve(loaded: Loaded, seconds: float, *, as_json: bool) -> None:
    """Compute and print the whole curve."""
    document = curve_document(
        loaded, cost_curve(loaded.plan, seconds=seconds, clock=time.monotonic)
    )
    if as_json:
        typer.echo(json.dumps(document, ensure_ascii=False))
        return
    typer.echo(f"{'finish':<11} {'cost in ' + document['currency']:>14}  take")
    for point in document["curve"]:
        takes = ", ".join(f"{one['expedite']} ({one['days']:g} d)" for one in point["taken"])
        mark = " " if point["proven"] else "?"
        typer.echo(f"{point['finish']:<11} {point['cost']:>14}{mark} {takes or 'nothing'}")
    typer.echo(f"Everything together would cost {document['all_cost']}.")
    if not all(point["proven"] for point in document["curve"]):
        typer.echo("? Not proven in the time given: another choice could be cheaper.")


def _money(loaded: Loaded, amount: Decimal) -> str:
    """Return money rounded to the smallest amount that can be paid."""
    unit = Decimal(1).scaleb(-minor_digits(loaded.plan.project.currency))
    return str(amount.quantize(unit, ROUND_HALF_UP))


def _date(text: str) -> date:
    """Read a date."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise RefusedError(f'--by "{text}": write a date, such as 2027-05-31') from None


def _sum(text: str) -> Decimal:
    """Read a sum of money."""
    try:
        return Decimal(text)
    except InvalidOperation:
        raise RefusedError(f'--budget "{text}": write an amount, such as 2500') from None
