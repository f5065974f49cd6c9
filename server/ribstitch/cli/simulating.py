"""The command that says how sure the dates are: simulate."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import typer

from ribstitch.cli.database import check_number, opened, settings_for
from ribstitch.cli.plans import Loaded, names_of
from ribstitch.cli.refusal import RefusedError
from ribstitch.planning.errors import PlanError
from ribstitch.planning.uncertainty import LEVELS, Simulation, simulate
from ribstitch.services.reproduce_forecast import OtherEngineError, reproduce_forecast

MOST_RUNS = 100_000
"""More would take gigabytes of memory and tell no more."""
_SHOWN = 10
"""So many activities are shown on a screen; --json has all."""


def show_simulation(loaded: Loaded, runs: int | None, seed: int | None, *, as_json: bool) -> None:
    """
    Print when the project may be finished, and what often sets that.

    Raises
    ------
    RefusedError
        If the number of runs or the seed is refused, or the plan cannot be simulated.
    """
    settings = settings_for(None)
    runs = settings.runs if runs is None else runs
    seed = settings.seed if seed is None else seed
    if not 1 <= runs <= MOST_RUNS:
        raise RefusedError(f"--runs {runs}: is not between 1 and {MOST_RUNS}")
    if not 0 <= seed < 2**31:
        raise RefusedError(f"--seed {seed}: is not between 0 and {2**31 - 1}")
    try:
        found = simulate(loaded.plan, runs=runs, seed=seed)
    except PlanError as refused:
        raise RefusedError(f"{loaded.name}: {refused}") from refused
    _show(found, as_json=as_json)


def show_logged(
    project: int | None, plan_version: int, database: str | None, *, as_json: bool
) -> None:
    """
    Compute a past forecast again and print it.

    Raises
    ------
    RefusedError
        If it was not logged, was computed by another engine, or comes out otherwise.
    """
    if project is None:
        raise RefusedError("--logged: needs --project N, whose forecast log has it")
    check_number(project)
    with opened(settings_for(database)) as store:
        try:
            found = reproduce_forecast(store, project, plan_version)
        except OtherEngineError as refused:
            raise RefusedError(str(refused)) from refused
    if not found.agrees:
        raise RefusedError(
            f"The forecast of plan version {plan_version} was logged as likely "
            f"{found.logged.p50}; computed again it is {found.again.finish_at(50)}."
        )
    _show(found.again, as_json=as_json)


def _show(found: Simulation, *, as_json: bool) -> None:
    """Print a simulation."""
    document = simulation_document(found)
    if as_json:
        typer.echo(json.dumps(document, ensure_ascii=False))
    else:
        _print_words(document, names_of(found.planned))


def simulation_document(found: Simulation) -> dict[str, Any]:
    """Return a simulation as JSON-ready data; what is done or dropped has no criticality."""
    target = found.prepared.plan.project.target_finish
    chance = None if target is None else found.chance_by(target)
    errors: dict[str, float | None] = {
        f"p{level}": found.standard_error_days(level) for level in LEVELS
    }
    return {
        "planned": found.planned.finish_on.isoformat(),
        "finish": {f"p{level}": found.finish_at(level).isoformat() for level in LEVELS},
        "target": None
        if target is None or chance is None
        else {"date": target.isoformat(), "probability": chance.probability},
        "criticality": {
            one.id: float(found.criticality[number])
            for number, one in enumerate(found.planned.activities)
            if not one.is_done and not one.dropped
        },
        "standard_error": errors | {"target": None if chance is None else chance.standard_error},
        "runs": found.runs,
        "seed": found.seed,
    }


def _print_words(document: dict[str, Any], names: Mapping[str, str]) -> None:
    """Print what a simulation found as sentences and a short table."""
    finish, errors, target = document["finish"], document["standard_error"], document["target"]
    typer.echo(f"Likely      {finish['p50']}")
    typer.echo(f"80 % by     {finish['p80']}")
    typer.echo(f"As written  {document['planned']}")
    typer.echo(f"8 chances in 10 lie between {finish['p10']} and {finish['p90']}.")
    if target is not None:
        share, error = target["probability"], errors["target"]
        typer.echo(
            f"The wanted {target['date']} is kept in {share:.1%} of the courses "
            f"(sampling error {error:.1%})."
        )
    typer.echo(
        f"{document['runs']} courses, seed {document['seed']}; the likely date is known to "
        f"{errors['p50']:.1f} days."
    )
    often = sorted(document["criticality"].items(), key=lambda one: -one[1])[:_SHOWN]
    if often:
        typer.echo("Most often on a chain that sets the finish:")
    for name, share in often:
        typer.echo(f"{share:>6.0%}  {name}  {names[name]}")
