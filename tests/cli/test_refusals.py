"""Bad input: one sentence with file, place and value; status 2; nothing on standard output."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ran, small_plan

Run = Callable[..., Ran]
Write = Callable[..., Path]
Change = Callable[[dict[str, Any]], object]


def task(**fields: object) -> Change:
    """Return a change of the first task."""
    return lambda plan: plan["tasks"][0].update(fields)


def status(**fields: object) -> Change:
    """Return a change of the first task's status."""
    return task(status=fields)


def shop(**fields: object) -> Change:
    """Return a change of the shop's calendar."""
    return lambda plan: plan["calendars"][0].update(fields)


def link(before: str, after: str) -> Change:
    """Return a further link."""
    return lambda plan: plan["links"].append({"from": before, "to": after})


def crew(*links: tuple[str, str], **fields: object) -> Change:
    """Return an order of the crew."""
    return lambda plan: plan.update(
        crew_links=[{"from": before, "to": after, **fields} for before, after in links]
    )


def expedite(**fields: object) -> Change:
    """Return a way to hurry the first task, changed."""
    one = {"id": "X1", "gains_days": 2, "cost": "90.00"}
    named = {} if "send_out" in fields else {"task": "T010"}
    return lambda plan: plan.update(expedites=[{**one, **named, **fields}])


def cost(**fields: object) -> Change:
    """Return a cost line, changed."""
    one = {"id": "C1", "amount": "90.00", "currency": "EUR"}
    return lambda plan: plan.update(costs=[{**one, **fields}])


def worked(**fields: object) -> Change:
    """Return two hours on the timesheet, changed."""
    one = {"id": "H1", "task": "T010", "on": "2026-01-06", "hours": "2"}
    return lambda plan: plan.update(hours=[{**one, **fields}])


def agreed(**fields: object) -> Change:
    """Return a baseline with one package, changed."""
    package = {"id": "T010", "amount": "10.00", "start": "2026-01-05", "finish": "2026-01-07"}
    one = {"id": "B1", "approved_on": "2026-01-05", "finish": "2026-03-01"}
    return lambda plan: plan.update(baselines=[{**one, "packages": [{**package, **fields}]}])


def asked(**fields: object) -> Change:
    """Return an over-and-above item, changed."""
    one = {"id": "O1", "name": "Frame", "asked_on": "2026-01-06"}
    return lambda plan: plan.update(over_and_above=[{**one, **fields}])


CASES: dict[str, tuple[Change, str]] = {
    "cycle": (
        link("T090", "T010"),
        "links: these wait for each other in a circle: ",
    ),
    "unknown task": (link("T010", "T999"), 'links[2].to: there is no task "T999" in the plan'),
    "self link": (link("T010", "T010"), 'links[2]: "T010" is linked to itself'),
    "duplicate id": (
        lambda plan: plan["tasks"].append({"id": "T010", "days": 1}),
        'tasks[3].id: the task id "T010" is used twice',
    ),
    "negative duration": (task(days=-1), "tasks[0].days: -1 days is less than nothing"),
    "NaN duration": (task(days=float("nan")), "tasks[0].days: NaN is not a number"),
    "absurd duration": (task(days=7321), "tasks[0].days: 7321 days is more than 20 years"),
    "fine duration": (
        task(days=0.3),
        "tasks[0].days: 0.3 is not a whole number of eighths of a day",
    ),
    "31 February": (
        task(not_before="2026-02-31"),
        'tasks[0].not_before: "2026-02-31" is not a date (year-month-day, such as 2026-10-09)',
    ),
    "no working day": (
        shop(week=[0, 0, 0, 0, 0, 0, 0]),
        'calendars[0].week: the calendar "shop" has no working day',
    ),
    "backward range": (
        shop(closed=[["2026-08-14", "2026-08-03"]]),
        "calendars[0].closed[0]: the closed range ends (2026-08-03) before it begins (2026-08-14)",
    ),
    "unknown country": (
        shop(holidays="Atlantis"),
        'calendars[0].holidays: "Atlantis" is not a country whose holidays are known',
    ),
    "actual in the future": (
        status(state="in_work", started="2026-01-08"),
        'tasks[0].status.started: 2026-01-08 of "T010" is after the as-of date 2026-01-07',
    ),
    "finish before start": (
        status(state="done", started="2026-01-07", finished="2026-01-06"),
        'tasks[0].status.finished: "T010" finished (2026-01-06) before it started (2026-01-07)',
    ),
    "unknown vendor": (
        lambda plan: plan["send_outs"][0].update(vendor="V9"),
        'send_outs[0].vendor: there is no vendor "V9" in the plan',
    ),
    "too many people": (
        task(people=10**9),
        "tasks[0].people: 1000000000: input should be less than or equal to 1000",
    ),
    "NUL in a name": (
        task(name="wing\x00"),
        "tasks[0].name: holds a character that cannot be kept (NUL)",
    ),
    "end of a line in an id": (
        task(id="T01\n0"),
        'tasks[0].id: "T01\\n0" holds a control character, such as the end of a line',
    ),
    "endless holidays": (
        shop(holidays="X" * 9_000),
        f'calendars[0].holidays: "{"X" * 59}...: string should have at most 20 characters',
    ),
    "no currency": (
        lambda plan: plan["project"].update(currency="euro"),
        'project.currency: "euro" is not a currency (three capitals, such as EUR)',
    ),
    "negative time of a past job": (
        lambda plan: plan["vendors"][0].update(
            history=[{"kind": "engine", "quoted_days": -5, "actual_days": 9}]
        ),
        "vendors[0].history[0].quoted_days: -5: input should be greater than or equal to 0",
    ),
    "finer than any coin": (
        lambda plan: plan.update(budget=[{"chapter": "61", "amount": "1e-19", "currency": "EUR"}]),
        'budget[0].amount: "1e-19" has more than 6 decimal places',
    ),
    "word with a vendor before there were aircraft": (
        lambda plan: plan["send_outs"][0].update(contacts=[{"on": "0001-01-01"}]),
        "send_outs[0].contacts[0].on: 0001-01-01 is not between the years 1900 and 2199",
    ),
    "falling range": (
        task(days_range=[5, 3, 8]),
        "tasks[0].days_range: low, likely and high must rise: 5, 3, 8 days",
    ),
    "quote of nothing": (
        lambda plan: plan["vendors"][0].update(
            history=[{"kind": "engine", "quoted_days": 0, "actual_days": 9}]
        ),
        "vendors[0].history[0].quoted_days: a job cannot take 0 days",
    ),
    "certain beyond doubt": (
        lambda plan: plan.update(risks=[{"id": "R1", "task": "T010", "probability": 1.5}]),
        "risks[0].probability: 1.5 is not between 0 and 1",
    ),
    "risk of nothing": (
        lambda plan: plan.update(risks=[{"id": "R1", "probability": 0.5}]),
        'risks[0].task: "R1" names neither a task nor a send-out',
    ),
    "opened by nobody": (
        lambda plan: plan.update(zones=[{"id": "tail", "opened_by": "T999"}]),
        'zones[0].opened_by: there is no task "T999" in the plan',
    ),
    "spread beyond one": (
        lambda plan: plan["project"].update(trade_spread=2),
        "project.trade_spread: 2 is not between 0 and 1",
    ),
    "bad case better than the middle one": (
        lambda plan: plan.update(kinds=[{"id": "engine", "over_median": 1.5, "over_p90": 1.2}]),
        "kinds[0].over_p90: 1.2 is less than over_median, 1.5",
    ),
    "money worth nothing": (
        lambda plan: plan.update(
            exchange_rates=[{"currency": "USD", "on": "2026-01-05", "rate": "0"}]
        ),
        "exchange_rates[0].rate: 0 for one USD cannot be",
    ),
    "crew link to nothing": (
        crew(("T010", "T999")),
        'crew_links[0].to: there is no task "T999" in the plan',
    ),
    "crew link to itself": (
        crew(("T020", "T020")),
        'crew_links[0]: "T020" is linked to itself',
    ),
    "crew link twice": (
        crew(("T010", "T020"), ("T010", "T020")),
        'crew_links[1]: "T020" waits for "T010" already',
    ),
    "crew link against a plain one": (
        crew(("T020", "T010")),
        "links: these wait for each other in a circle: ",
    ),
    "crew link about no place": (
        crew(("T010", "T020"), kind="place", names=["jig"]),
        'crew_links[0].names[0]: there is no place "jig" in the plan',
    ),
    "crew link of a kind that is none": (
        crew(("T010", "T020"), kind="tool"),
        "crew_links[0].kind: \"tool\": input should be 'trade' or 'place'",
    ),
    "nobody goes over": (
        crew(("T010", "T020"), units=0),
        "crew_links[0].units: 0: input should be greater than or equal to 1",
    ),
    "place that is not there": (
        task(places=["jig"]),
        'tasks[0].places[0]: there is no place "jig" in the plan',
    ),
    "expedite of nothing": (
        expedite(task=None),
        'expedites[0].task: "X1" names neither a task nor a send-out',
    ),
    "expedite of both": (
        expedite(task="T010", send_out="S1"),
        'expedites[0].send_out: "X1" names both a task and a send-out',
    ),
    "expedite of an unknown task": (
        expedite(task="T999"),
        'expedites[0].task: there is no task "T999" in the plan',
    ),
    "expedite of an unknown leg": (
        expedite(send_out="S1", leg="lead"),
        'expedites[0].leg: "lead" is not one of prepare, ship_out, ',
    ),
    "expedite of a leg that is not there": (
        expedite(send_out="S1", leg="customs_out"),
        'expedites[0].leg: the send-out "S1" has no leg "customs_out"',
    ),
    "expedite that gains nothing": (
        expedite(gains_days=0),
        'expedites[0].gains_days: "X1" takes off nothing',
    ),
    "more taken than there is": (
        expedite(taken_days=3),
        'expedites[0].taken_days: "X1" cannot take off 3 days',
    ),
    "half of all or nothing": (
        expedite(taken_days=1),
        'expedites[0].taken_days: "X1" is all or nothing, and 1 is neither',
    ),
    "half a day by the day": (
        expedite(gains_days=1.5, by_the_day=True),
        'expedites[0].gains_days: "X1" is bought by the day, and 1.5 is no whole one',
    ),
    "expedite that pays": (
        expedite(cost="-5.00"),
        "expedites[0].cost: -5.00 is less than nothing",
    ),
    "expedite by magic": (
        expedite(kind="magic"),
        'expedites[0].kind: "magic": input should be',
    ),
    "cost in no currency": (
        cost(currency="euro"),
        'costs[0].currency: "euro" is not a currency (three capitals, such as EUR)',
    ),
    "cost in a currency of the past": (
        cost(currency="DEM"),
        'costs[0].currency: "DEM" is no current currency of ISO 4217',
    ),
    "project in gold": (
        lambda plan: plan["project"].update(currency="XAU"),
        'project.currency: "XAU" is no current currency of ISO 4217',
    ),
    "cost beyond all counting": (
        cost(amount="1e15"),
        'costs[0].amount: "1e15" has more than 14 digits before the point',
    ),
    "cost with a decimal comma": (
        cost(amount="12,50"),
        'costs[0].amount: "12,50" is not a number (digits and a point, such as 12.50)',
    ),
    "cost in a state that is none": (
        cost(state="promised"),
        'costs[0].state: "promised": input should be',
    ),
    "cost of an unknown send-out": (
        cost(send_out="S9"),
        'costs[0].send_out: there is no send-out "S9" in the plan',
    ),
    "payment that is no number": (
        cost(payments=[{"on": "2026-01-06", "amount": "NaN"}]),
        'costs[0].payments[0].amount: "NaN" is not a number',
    ),
    "payment of nothing": (
        cost(payments=[{"on": "2026-01-06", "amount": "0"}]),
        "costs[0].payments[0].amount: a payment of nothing is none",
    ),
    "payment twice": (
        cost(payments=[{"on": "2026-01-06", "amount": "40.00"}] * 2),
        'costs[0].payments[1]: "C1" has a payment of 40.00 on 2026-01-06 already',
    ),
    "parts of a price that are not the whole": (
        cost(dues=[{"percent": "30", "at": "order"}, {"percent": "60", "at": "accepted"}]),
        'costs[0].dues: the parts of "C1" add up to 90 %, not 100',
    ),
    "due on no date": (
        cost(dues=[{"percent": "100"}]),
        "costs[0].dues[0].on: this part needs a date",
    ),
    "negative hours": (
        worked(hours="-1.5"),
        "hours[0].hours: -1.5 hours on one date cannot be",
    ),
    "hours of tomorrow": (
        worked(on="2026-01-08"),
        "hours[0].on: 2026-01-08 is after the as-of date 2026-01-07",
    ),
    "hours on nothing": (
        worked(task="T999"),
        'hours[0].task: there is no task "T999" in the plan',
    ),
    "balance of no day": (
        lambda plan: plan["project"].update(balance="120.00"),
        "project.balance_on: a balance needs the date for which it holds",
    ),
    "later rate that comes earlier": (
        lambda plan: plan.update(
            crew=[
                {
                    "trade": "metal",
                    "rates": [
                        {"on": "2026-02-01", "rate": "30"},
                        {"on": "2026-01-01", "rate": "31"},
                    ],
                }
            ]
        ),
        "crew[0].rates[1].on: 2026-01-01 is not after the rate before it",
    ),
    "funding that never comes again": (
        lambda plan: plan.update(
            funding=[{"id": "F1", "on": "2026-02-01", "amount": "900", "until": "2026-06-01"}]
        ),
        'funding[0].until: "F1" comes once, so it has no last date',
    ),
    "baseline that ends before it starts": (
        agreed(finish="2026-01-04"),
        'baselines[0].packages[0].finish: "T010" ends (2026-01-04) before it starts (2026-01-05)',
    ),
    "budget of a package below nothing": (
        agreed(amount="-10.00"),
        "baselines[0].packages[0].amount: -10.00 is less than nothing",
    ),
    "decided on no day": (
        asked(state="approved"),
        'over_and_above[0].decided_on: "O1" needs a date here',
    ),
    "decided before it was asked": (
        asked(state="declined", decided_on="2026-01-05"),
        'over_and_above[0].decided_on: "O1" was decided (2026-01-05) before it was asked (',
    ),
    "unknown key": (task(colour="red"), 'tasks[0]: unknown key "colour"'),
    "wrong format": (
        lambda plan: plan.update(format="ribstitch-plan/2"),
        "format: \"ribstitch-plan/2\": input should be 'ribstitch-plan/1'",
    ),
}


@pytest.mark.parametrize(("change", "sentence"), CASES.values(), ids=CASES)
def test_bad_plan_is_refused_in_one_sentence(
    ribstitch: Run, plan_file: Write, change: Change, sentence: str
) -> None:
    """File, key path and value, on one line."""
    path = plan_file(change)
    ran = ribstitch("schedule", path, "--json")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"{path}: {sentence}")
    assert ran.err.count("\n") == 1


def test_cycle_lists_its_members_in_order(ribstitch: Run, plan_file: Write) -> None:
    """Legs of a send-out are members too."""
    ran = ribstitch("schedule", plan_file(link("T090", "T010")))
    around = ran.err.rpartition(": ")[2].strip().split(" -> ")
    assert around[0] == around[-1]
    ways = [
        ["T010", "T020", "T090"],
        ["T010", "S1/prepare", "S1/ship_out", "S1/vendor_work", "S1/ship_back", "S1/accept",
         "T090"],
    ]  # fmt: skip
    turned = around[:-1][around.index("T010") :] + around[:-1][: around.index("T010")]
    assert turned in ways


def test_cycle_says_what_only_the_crew_adds_to_it(ribstitch: Run, plan_file: Write) -> None:
    """T020 waits for T010 by a plain link; the other way round it is the crew."""
    ran = ribstitch("schedule", plan_file(crew(("T020", "T010"))))
    assert ran.status == 2
    assert ran.err.endswith(" (by the order of the crew, T010 waits for T020)\n")


NOT_A_PLAN: dict[str, tuple[bytes, str]] = {
    "not JSON": (b"{", "is not JSON"),
    "empty": (b"", "is not JSON"),
    "not text": (b"\xff\xfe\x00", "is not JSON"),
    "deeply nested": (b"[" * 100_000, "is nested too deeply to be a plan"),
    "a number": (b"3", "3: input should be an object"),
}


@pytest.mark.parametrize(("data", "sentence"), NOT_A_PLAN.values(), ids=NOT_A_PLAN)
def test_what_is_no_plan_is_refused(
    ribstitch: Run, tmp_path: Path, data: bytes, sentence: str
) -> None:
    """Whatever the bytes are, one sentence."""
    path = tmp_path / "plan.json"
    path.write_bytes(data)
    ran = ribstitch("schedule", path, "--json")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"{path}: {sentence}")


def test_50_mb_are_refused_unread(ribstitch: Run, tmp_path: Path) -> None:
    """The size alone is enough to say no."""
    path = tmp_path / "plan.json"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    ran = ribstitch("schedule", path)
    assert ran.status == 2
    assert ran.err == f"{path}: has 50.0 MB; a plan file may have at most 20 MB\n"


def test_missing_file_is_named(ribstitch: Run, tmp_path: Path) -> None:
    """The operating system's reason, in the same kind of sentence."""
    ran = ribstitch("schedule", tmp_path / "none.json")
    assert (ran.status, ran.err) == (
        2,
        f"{tmp_path / 'none.json'}: cannot be read (No such file or directory)\n",
    )


@pytest.mark.parametrize(
    ("late", "sentence"),
    [
        ("V9=30", '--late: there is no vendor "V9" in the plan'),
        ("V1", '--late "V1": write VENDOR=DAYS, such as V1=30'),
        ("V1=soon", '--late "V1=soon": write VENDOR=DAYS, such as V1=30'),
        ("V1=-3", "--late: -3 is not between 0 and 3660 days"),
        ("V1=nan", "--late: nan is not between 0 and 3660 days"),
    ],
)
def test_bad_lateness_is_refused(
    ribstitch: Run, plan_file: Write, late: str, sentence: str
) -> None:
    """A vendor that is there, and a number of days."""
    ran = ribstitch("whatif", plan_file(), "--late", late)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(sentence)


def test_file_or_project_but_not_both(ribstitch: Run, plan_file: Write) -> None:
    """Neither is as wrong as both."""
    for arguments in ([], [plan_file(), "--project", 1]):
        ran = ribstitch("schedule", *arguments)
        assert (ran.status, ran.err) == (2, "give either a plan FILE or --project N\n")


def test_refused_plan_is_not_stored(ribstitch: Run, plan_file: Write, tmp_path: Path) -> None:
    """After a refused import the next project is still the first."""
    database = f"sqlite:///{tmp_path / 'kept.db'}"
    refused = ribstitch("import", plan_file(link("T090", "T010")), "--database", database)
    assert refused.status == 2
    assert "in a circle" in refused.err
    taken = ribstitch("import", plan_file(), "--database", database, "--json")
    assert taken.json == {"project": 1}


def test_export_gives_the_imported_plan_back(
    ribstitch: Run, plan_file: Write, tmp_path: Path
) -> None:
    """Out of the database and in again: the same bytes."""
    database = f"sqlite:///{tmp_path / 'kept.db'}"
    out = [tmp_path / "first.json", tmp_path / "second.json"]
    ribstitch("import", plan_file(), "--database", database)
    ribstitch("export", 1, "--output", out[0], "--database", database)
    ribstitch("import", out[0], "--database", database)
    ribstitch("export", 2, "--output", out[1], "--database", database)
    assert out[0].read_bytes() == out[1].read_bytes()
    assert json.loads(out[0].read_text())["tasks"] == small_plan()["tasks"]


def test_unknown_project_is_named(ribstitch: Run, tmp_path: Path) -> None:
    """There is nothing in a new database."""
    ran = ribstitch("export", 7, "--database", f"sqlite:///{tmp_path / 'kept.db'}")
    assert (ran.status, ran.err) == (2, "There is no project 7.\n")


def test_database_that_is_none_is_refused(ribstitch: Run, tmp_path: Path) -> None:
    """Another kind of file, no port, nothing that is kept: each in one sentence."""
    text = tmp_path / "notes.txt"
    text.write_text("no database " * 100)
    for url, sentence in (
        (f"sqlite:///{text}", "file is not a database"),
        (f"sqlite:///{tmp_path}", "unable to open database file"),
        ("sqlite:///", "keeps nothing without a file"),
        ("postgresql://localhost:port/x", "no database address"),
    ):
        ran = ribstitch("export", 1, "--database", url)
        assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
        assert sentence in ran.err


@pytest.mark.parametrize("command", ["schedule", "simulate --logged 1"])
@pytest.mark.parametrize("number", [0, -1, 2**31, 10**30])
def test_number_that_no_project_can_have_is_unknown(
    ribstitch: Run, tmp_path: Path, number: int, command: str
) -> None:
    database = f"sqlite:///{tmp_path / 'kept.db'}"
    ran = ribstitch(*command.split(), f"--project={number}", "--database", database)
    assert (ran.status, ran.err) == (2, f"There is no project {number}.\n")


def test_endless_file_is_not_read_to_its_end(ribstitch: Run) -> None:
    """A device has no size, and /dev/zero no end."""
    ran = ribstitch("schedule", "/dev/zero")
    assert ran.status == 2
    assert ran.err == "/dev/zero: has 20.0 MB; a plan file may have at most 20 MB\n"


@pytest.mark.parametrize("command", ["schedule", "schedule --json", "version", "export"])
def test_output_that_cannot_be_written_is_said_in_one_sentence(
    ribstitch: Run, plan_file: Write, tmp_path: Path, command: str
) -> None:
    """The device /dev/full takes nothing."""
    arguments: list[object] = [*command.split()]
    if command == "export":
        database = f"sqlite:///{tmp_path / 'kept.db'}"
        ribstitch("import", plan_file(), "--database", database)
        arguments += [1, "--database", database]
    elif command != "version":
        arguments.append(plan_file())
    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "ribstitch.cli", *map(str, arguments)],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=60,
        )
    assert (ran.returncode, ran.stderr) == (2, "standard output: No space left on device\n")
