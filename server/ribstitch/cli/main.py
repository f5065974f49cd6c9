"""The command's table of contents: options and help, one function a command.

Whatever a command needs is imported when it runs, so that ``--help`` and shell
completion answer at once.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from ribstitch import __version__

app = typer.Typer(
    name="ribstitch",
    help="Plan the restoration of a vintage aircraft and see when it will be finished.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

PlanFile = Annotated[
    Path | None,
    typer.Argument(metavar="FILE", help="A plan file; or leave it out and give --project."),
]
ProjectId = Annotated[
    int | None,
    typer.Option("--project", metavar="N", help="A project of the database instead of a file."),
]
Database = Annotated[
    str | None,
    typer.Option(
        "--database",
        metavar="URL",
        help="Where projects are kept (default: RIBSTITCH_DATABASE_URL or sqlite:///ribstitch.db).",
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]


@app.command("schedule")
def schedule_command(
    file: PlanFile = None, project: ProjectId = None, database: Database = None, json: Json = False
) -> None:
    """When each task can be done, how far it can slip, and what sets the finish."""
    from ribstitch.cli import plans

    plans.show_schedule(plans.load(file, project, database), as_json=json)


@app.command("grace")
def grace_command(
    file: PlanFile = None, project: ProjectId = None, database: Database = None, json: Json = False
) -> None:
    """How late each item that is away, and each vendor, can be before the finish moves."""
    from ribstitch.cli import plans

    plans.show_grace(plans.load(file, project, database), as_json=json)


@app.command("whatif")
def whatif_command(
    late: Annotated[
        list[str],
        typer.Option("--late", metavar="VENDOR=DAYS", help="A vendor is late; can be repeated."),
    ],
    file: PlanFile = None,
    project: ProjectId = None,
    database: Database = None,
    json: Json = False,
) -> None:
    """What late vendors do to the finish date."""
    from ribstitch.cli import plans

    plans.show_whatif(plans.load(file, project, database), late, as_json=json)


@app.command("simulate")
def simulate_command(
    file: PlanFile = None,
    runs: Annotated[
        int | None,
        typer.Option(
            "--runs", metavar="N", help="How many courses (default: RIBSTITCH_RUNS or 10000)."
        ),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option(
            "--seed",
            metavar="S",
            help="The same seed gives the same dates (default: RIBSTITCH_SEED or 1).",
        ),
    ] = None,
    logged: Annotated[
        int | None,
        typer.Option(
            "--logged",
            metavar="VERSION",
            min=1,
            max=2**31 - 1,
            help="Compute the logged forecast of a plan version of the project again.",
        ),
    ] = None,
    project: ProjectId = None,
    database: Database = None,
    json: Json = False,
) -> None:
    """How sure the finish is, and what most often sets it."""
    from ribstitch.cli import plans, simulating

    if logged is not None:
        simulating.show_logged(project, logged, database, as_json=json)
        return
    loaded = plans.load(file, project, database)
    simulating.show_simulation(loaded, runs, seed, as_json=json)


@app.command("health")
def health_command(
    file: PlanFile = None,
    baseline: Annotated[
        Path | None,
        typer.Option(
            "--baseline",
            metavar="FILE",
            help="The plan file that was approved (default: the newest baseline of the plan).",
        ),
    ] = None,
    project: ProjectId = None,
    database: Database = None,
    json: Json = False,
) -> None:
    """How sound the plan itself is: the published practices, counted, and who stands out."""
    from ribstitch.cli import health, plans

    health.show_health(plans.load(file, project, database), baseline, as_json=json)


@app.command("level")
def level_command(
    file: PlanFile = None,
    seconds: Annotated[
        float,
        typer.Option("--seconds", metavar="S", help="How long to look for a better plan."),
    ] = 5.0,
    patterson: Annotated[
        Path | None,
        typer.Option(
            "--patterson",
            metavar="FILE",
            help="Level a published instance in the Patterson layout instead of a plan.",
        ),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", metavar="N", help="Of everything drawn.")] = 1,
    project: ProjectId = None,
    database: Database = None,
    json: Json = False,
) -> None:
    """Dates that the people and places of a plan can keep, and how good they are."""
    from ribstitch.cli import levelling, plans
    from ribstitch.cli.refusal import RefusedError

    if patterson is None:
        loaded = plans.load(file, project, database)
        levelling.show_levelled_plan(loaded, seconds, seed, as_json=json)
    elif file is None and project is None:
        levelling.show_levelled_instance(patterson, seconds, seed, as_json=json)
    else:
        raise RefusedError("give either a plan or --patterson FILE")


@app.command("pull-in")
def pull_in_command(
    file: PlanFile = None,
    by: Annotated[
        str | None, typer.Option("--by", metavar="DATE", help="The wanted finish.")
    ] = None,
    budget: Annotated[
        str | None,
        typer.Option(
            "--budget",
            metavar="AMOUNT",
            help="A sum in the project's currency, for the earliest finish that it buys.",
        ),
    ] = None,
    curve: Annotated[
        bool, typer.Option("--curve", help="The least cost of every finish that can be had.")
    ] = False,
    seconds: Annotated[
        float, typer.Option("--seconds", metavar="S", help="How long to look at most.")
    ] = 60.0,
    project: ProjectId = None,
    database: Database = None,
    json: Json = False,
) -> None:
    """The cheapest expedites for an earlier finish, and what they cost."""
    from ribstitch.cli import plans, pulling_in

    loaded = plans.load(file, project, database)
    pulling_in.show_pulled_in(loaded, by, budget, seconds, curve=curve, as_json=json)


@app.command("draft")
def draft_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A plan file with an evaluation.")],
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="FILE", help="Write here (default: the screen)."),
    ] = None,
) -> None:
    """Write a plan file with the tasks in it that its findings and method cards ask for."""
    from ribstitch.cli import drafting

    drafting.draft_file(file, output)


@app.command("import")
def import_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A plan file.")],
    database: Database = None,
    json: Json = False,
) -> None:
    """Put a plan file into the database as a new project."""
    from ribstitch.cli import keeping

    keeping.import_file(file, database, as_json=json)


@app.command("import-table")
def import_table_command(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A workbook (.xlsx), or separated values.")
    ],
    table: Annotated[
        str,
        typer.Option(
            "--table",
            metavar="NAME",
            help="What it holds: findings, tasks, vendors, costs, exchange-rates or hours.",
        ),
    ],
    project: Annotated[int, typer.Option("--project", metavar="N", help="Into which project.")],
    update: Annotated[
        bool,
        typer.Option("--update", help="Change what is in the plan already; else it stays."),
    ] = False,
    good_rows: Annotated[
        bool, typer.Option("--good-rows", help="Take in the rows that have no problem.")
    ] = False,
    only_try: Annotated[
        bool, typer.Option("--try", help="Say what would come of it, and store nothing.")
    ] = False,
    match: Annotated[
        str | None,
        typer.Option(
            "--match",
            metavar="NAMES",
            help="The column of the table for each of the file, such as id,,seen "
            "(default: by their headings).",
        ),
    ] = None,
    sheet: Annotated[
        int | None,
        typer.Option("--sheet", metavar="N", min=1, help="Which sheet (default: the first)."),
    ] = None,
    header: Annotated[
        int | None,
        typer.Option(
            "--header", metavar="ROW", min=1, help="The row that is the head (default: found)."
        ),
    ] = None,
    dates: Annotated[
        str | None,
        typer.Option("--dates", metavar="STYLE", help="day_first or month_first, where asked."),
    ] = None,
    decimals: Annotated[
        str | None,
        typer.Option("--decimals", metavar="SIGN", help="point or comma, where asked."),
    ] = None,
    database: Database = None,
    json: Json = False,
) -> None:
    """Take a table of your own into a project: all rows, or none if one has a problem."""
    from ribstitch.cli import tables

    asked = tables.Asked(
        table, match, sheet, header, dates, decimals, update=update, good_rows=good_rows
    )
    tables.import_table(file, project, asked, database, only_try=only_try, as_json=json)


@app.command("export")
def export_command(
    project: Annotated[int, typer.Argument(metavar="N", help="The project's number.")],
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="FILE", help="Write here (default: the screen)."),
    ] = None,
    database: Database = None,
) -> None:
    """Write a project of the database as a plan file."""
    from ribstitch.cli import keeping

    keeping.export_project(project, output, database)


@app.command("backup")
def backup_command(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="A new file (default: one named by the time, here)."),
    ] = None,
    database: Database = None,
) -> None:
    """Write the database and all photos and documents into one file; the service may run."""
    from ribstitch.cli import backing_up

    backing_up.back_up(file, database)


@app.command("check-backup")
def check_backup_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")],
) -> None:
    """Read a backup to its end and compare every digest."""
    from ribstitch.cli import backing_up

    backing_up.check(file)


@app.command("restore")
def restore_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")],
    database: Database = None,
) -> None:
    """Read a backup into an empty database and an empty folder of files; bring it up to date."""
    from ribstitch.cli import backing_up

    backing_up.restore(file, database)


@app.command("demo")
def demo_command(
    folder: Annotated[
        Path | None,
        typer.Option("--folder", metavar="DIR", help="Keep the demo here (default: a new folder)."),
    ] = None,
    host: Annotated[str, typer.Option("--host", help="Address to serve on.")] = "127.0.0.1",
    port: Annotated[
        int, typer.Option("--port", help="Port; the next free one is taken if it is busy.")
    ] = 8765,
) -> None:
    """Serve an invented restoration to look around in."""
    from ribstitch.cli import serving

    serving.demo(folder=folder, host=host, port=port)


@app.command("serve")
def serve_command(
    database: Database = None,
    host: Annotated[str | None, typer.Option("--host", help="Address to serve on.")] = None,
    port: Annotated[int | None, typer.Option("--port", help="Port to serve on.")] = None,
    workers: Annotated[
        int | None,
        typer.Option("--workers", metavar="N", help="How many processes; PostgreSQL alone."),
    ] = None,
) -> None:
    """Serve the pages and the API for the projects of a database."""
    from ribstitch.cli import serving

    serving.serve(database=database, host=host, port=port, workers=workers)


@app.command("set-up-link")
def set_up_link_command(database: Database = None) -> None:
    """Print a link that makes the first account, as the service does when it starts."""
    from ribstitch.cli import accounts

    accounts.print_set_up_link(database)


@app.command("reset-link")
def reset_link_command(
    email: Annotated[str, typer.Argument(metavar="EMAIL", help="Whose password is lost.")],
    drop: Annotated[
        bool,
        typer.Option(
            "--drop-second-factor", help="The app and the recovery codes are lost as well."
        ),
    ] = False,
    database: Database = None,
) -> None:
    """Print a link with which somebody who has an account sets a new password."""
    from ribstitch.cli import accounts

    accounts.print_reset_link(email, database, drop_second_factor=drop)


@app.command("version")
def version_command() -> None:
    """Print the version."""
    typer.echo(f"ribstitch {__version__}")


def main() -> None:
    """Run the command; whatever is refused is one sentence on standard error and status 2."""
    from ribstitch.cli.refusal import RefusedError

    try:
        app()
    except RefusedError as refused:
        sys.stderr.write(f"{refused}\n")
        raise SystemExit(2) from None
    except OSError as failed:
        sys.stderr.write(f"{_what_failed(failed)}\n")
        raise SystemExit(2) from None


def _what_failed(failed: OSError) -> str:
    """Say what the machine refused; without a name it is what a command writes to."""
    if failed.strerror is None:
        return str(failed)
    return f"{failed.filename or 'standard output'}: {failed.strerror}"
