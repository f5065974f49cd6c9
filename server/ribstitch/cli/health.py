"""The command that looks at the plan itself: health."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import typer

from ribstitch.cli.plans import Loaded, load, names_of
from ribstitch.planning.health.assessing import assess
from ribstitch.planning.health.baseline import finishes_of
from ribstitch.planning.health.check import Check, Verdict, worst_first
from ribstitch.planning.health.rules import PRACTICES

_SHOWN = 5
"""So many of those that a check names are shown on a screen; --json has all."""
_HEADINGS = {
    Verdict.BEYOND: "Beyond the limit, the worst first",
    Verdict.LISTED: "Listed, without a limit",
    Verdict.NOT_YET: "Not yet: there is nothing to count",
    Verdict.KEPT: "Kept",
}


def show_health(loaded: Loaded, baseline: Path | None, *, as_json: bool) -> None:
    """
    Print what the checks of plan health count.

    Raises
    ------
    RefusedError
        If the approved plan is refused.
    """
    approved = None if baseline is None else finishes_of(load(baseline, None, None).schedule)
    checks = assess(loaded.schedule, approved)
    if as_json:
        typer.echo(json.dumps(health_document(checks), ensure_ascii=False))
        return
    names = names_of(loaded.schedule) | {item.id: item.name for item in loaded.plan.send_outs}
    _print_words(checks, names)


def health_document(checks: tuple[Check, ...]) -> dict[str, Any]:
    """Return the checks as JSON-ready data, in the order of the practices."""
    return {
        "checks": [
            {
                "id": one.rule.id,
                "practice": one.rule.practice,
                "count": one.count,
                "of": one.of,
                "limit": one.limit,
                "ok": one.ok,
                "tasks": list(dict.fromkeys(who.id for who in one.offenders)),
            }
            for one in checks
        ]
    }


def _print_words(checks: tuple[Check, ...], names: Mapping[str, str]) -> None:
    """Print the checks under their verdicts."""
    ordered = worst_first(checks)
    beyond = sum(one.verdict is Verdict.BEYOND for one in checks)
    judged = sum(one.ok is not None for one in checks)
    typer.echo(f"{beyond} of {judged} limits are not kept.")
    for verdict, heading in _HEADINGS.items():
        some = [one for one in ordered if one.verdict is verdict]
        if some:
            typer.echo(f"\n{heading}:")
        for one in some:
            typer.echo(f"  {_line(one)}")
            if verdict is Verdict.BEYOND or (verdict is Verdict.LISTED and one.count):
                _print_findings(one, names)


def _line(one: Check) -> str:
    """Return what a check counts as one line."""
    if one.share is None:
        return f"{one.rule.counts}: not yet"
    least = "at least" if one.rule.at_least else "at most"
    limit = "" if one.limit is None else f", {least} {one.limit:.6g}"
    return (
        f"{one.rule.counts}: {one.count:.6g} of {one.of:.6g} {one.rule.of} = {one.share:.4f}{limit}"
    )


def _print_findings(one: Check, names: Mapping[str, str]) -> None:
    """Print whom a check names, what to do, and whose practice it is."""
    for who in one.offenders[:_SHOWN]:
        text = " ".join(part for part in (who.id, names.get(who.id, "")) if part)
        typer.echo(f"    {text}{f': {who.note}' if who.note else ''}")
    if len(one.offenders) > _SHOWN:
        typer.echo(f"    and {len(one.offenders) - _SHOWN} more")
    typer.echo(f"    {one.rule.advice}")
    practice = f"Practice {one.rule.practice}: {PRACTICES[one.rule.practice]}"
    typer.echo(f"    {practice}. Limit: {one.rule.source}.")
