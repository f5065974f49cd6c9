"""`ribstitch import-table`: rows of a file into a project of the database."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ran

Run = Callable[..., Ran]
GOOD = "id,name,days\nT010,Take the engine off,4\nT030,Paint the bay,2\n"
MIXED = f"{GOOD}T040,Polish,many\nT050,Wax,0.3\n"


class Database:
    """A database with the small plan as project 1, and the command with it."""

    def __init__(self, run: Run, folder: Path, plan: Path) -> None:
        self._run, self._folder = run, folder
        self._url = f"sqlite:///{folder / 'ribstitch.db'}"
        assert run("import", plan, "--database", self._url).status == 0

    def take(self, text: str, *options: object, table: str = "tasks", project: int = 1) -> Ran:
        """Take a table in."""
        file = self._folder / "table.csv"
        file.write_text(text, encoding="utf-8")
        where = ("--table", table, "--project", project, "--database", self._url)
        return self._run("import-table", file, *where, *options)

    def days(self) -> dict[str, Any]:
        """Return the days of the project's tasks."""
        plan = self._run("export", 1, "--database", self._url).json
        return {one["id"]: one["days"] for one in plan["tasks"]}


@pytest.fixture
def database(ribstitch: Run, tmp_path: Path, plan_file: Callable[..., Path]) -> Database:
    return Database(ribstitch, tmp_path, plan_file())


SMALL = {"T010": 3, "T020": 2.5, "T090": 2}


def test_all_rows_come_in_where_nothing_is_wrong(database: Database) -> None:
    """What is in the plan stays, unless it is to be changed."""
    ran = database.take(GOOD)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("Taken in: 1 added, 0 changed, 0 unchanged, 1 kept, 0 refused.")
    assert database.days() == {**SMALL, "T030": 2}
    assert database.take(GOOD, "--update").out.startswith("Taken in: 0 added, 1 changed,")
    assert database.days() == {**SMALL, "T030": 2, "T010": 4}


def test_every_problem_is_printed_and_nothing_stored(database: Database, tmp_path: Path) -> None:
    ran = database.take(MIXED)
    assert ran.status == 2
    first, second, sentence = ran.err.splitlines()
    assert first.startswith('row 4, days "many": ')
    assert second.startswith('row 5, days "0.3": ')
    assert sentence == (
        f"{tmp_path / 'table.csv'}: 2 rows have problems, and nothing is stored; --good-rows "
        "takes in the others."
    )
    assert ran.out.startswith("Not stored: 1 added, 0 changed, 0 unchanged, 1 kept, 2 refused.")
    assert database.days() == SMALL
    good = database.take(MIXED, "--good-rows")
    assert good.status == 0
    assert database.days() == {**SMALL, "T030": 2}


def test_a_trial_stores_nothing(database: Database) -> None:
    ran = database.take(GOOD, "--try", "--json")
    assert (ran.status, ran.json["stored"], ran.json["counts"]["added"]) == (0, False, 1)
    assert ran.json["finish_before"] <= ran.json["finish_after"]
    assert database.days() == SMALL
    wrong = database.take(MIXED, "--try", "--json")
    assert (wrong.status, [one["row"] for one in wrong.json["problems"]]) == (2, [4, 5])


def test_what_the_file_does_not_tell_is_asked(database: Database) -> None:
    text = "No,Seen,On\nF1,Dent,03/01/2026\n"
    ran = database.take(text, "--match", "id,seen,seen_on", table="findings")
    assert ran.status == 2
    assert "--dates day_first or month_first: say which, for 03/01/2026 in On" in ran.err
    said = ("--match", "id,seen,seen_on", "--dates", "day_first")
    assert database.take(text, *said, table="findings").out.startswith("Taken in: 1 added")


@pytest.mark.parametrize(
    ("options", "change", "sentence"),
    [
        ((), {"table": "birds"}, "--table birds: is none of findings, tasks"),
        ((), {"project": 7}, "project 7"),
        ((), {"project": 0}, "project 0"),
        (("--dates", "year"), {}, "--dates year: is neither day_first nor month_first"),
        (("--match", "id,wings"), {}, 'has no column "wings"'),
        (("--header", "9"), {}, "Row 9 has nothing in it"),
    ],
)
def test_bad_options_are_refused_in_one_sentence(
    database: Database, options: tuple[str, ...], change: dict[str, Any], sentence: str
) -> None:
    ran = database.take(GOOD, *options, **change)
    assert (ran.status, ran.out) == (2, "")
    assert sentence in ran.err
    assert database.days() == SMALL
