"""A database as the first release left it, with a project in it."""

from __future__ import annotations

from datetime import date
from typing import Any

from alembic import command
from sqlalchemy import Engine, MetaData

from ribstitch.planning.model import (
    Calendar,
    Crew,
    PastJob,
    Plan,
    Project,
    Risk,
    Task,
    Vendor,
    Zone,
)
from ribstitch.store.engine import WRITES
from ribstitch.store.migrate import config_for
from tests.store.plans import AT, DAY

DAY_ONE = date(2026, 1, 5)

TASK: dict[str, Any] = {
    "duration": DAY, "name": "", "zone": "tail", "people": 1, "state": "not_started",
    "held_reason": "", "why": "", "notes": "",
}  # fmt: skip
ROWS: dict[str, list[dict[str, Any]]] = {
    "calendar": [
        {
            "key": "shop", "name": "", "elapsed": False, "day_hours": 8,
            "week_hours": [8, 8, 8, 8, 8, 0, 0], "closed": [], "opened": [],
        }
    ],
    "zone": [{"key": "tail", "name": "Tail"}],
    "task": [{"key": "T1", **TASK}, {"key": "T2", **TASK}],
    "vendor": [
        {
            "key": "V1", "name": "Fin Works", "country": "",
            "history": [["fin", 10, 12.5, "2024-02-29"], ["fin", 4, 4, None]],
        },
        {"key": "V2", "name": "", "country": "", "history": []},
    ],
    "crew": [{"key": "metal", "trade": "metal", "people": 1, "label": ""}],
    "risk": [
        {
            "key": "R1", "name": "Corrosion", "task": "T1", "probability": 0.3, "impact": DAY,
            "impact_note": "",
        },
        {
            "key": "R2", "name": "Rain", "task": None, "probability": 0.5, "impact": 0,
            "impact_note": "",
        },
    ],
}  # fmt: skip

PLAN = Plan(
    project=Project(DAY_ONE, DAY_ONE, name="Old", airframe="amphibian"),
    calendars=(Calendar("shop"),),
    zones=(Zone("tail", "Tail"),),
    tasks=(Task("T1", DAY, zone="tail"), Task("T2", DAY, zone="tail")),
    vendors=(
        Vendor(
            "V1",
            "Fin Works",
            history=(PastJob("fin", 10, 12.5, date(2024, 2, 29)), PastJob("fin", 4, 4)),
        ),
        Vendor("V2"),
    ),
    crew=(Crew("metal"),),
    risks=(
        Risk("R1", "Corrosion", "T1", None, 0.3, DAY),
        Risk("R2", "Rain", probability=0.5, closed=True),
    ),
)
"""What these rows mean today: the risk of nothing is closed."""


def fill(engine: Engine) -> None:
    """Make the tables of the first release and fill them; the project is number 1."""
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        command.upgrade(config_for(connection), "0001")
        metadata = MetaData()
        metadata.reflect(connection)
        project = {
            "version": 1, "plan_version": 1, "created_at": AT.replace(tzinfo=None),
            "start": DAY_ONE, "as_of": DAY_ONE, "name": "Old", "aircraft": "", "serial": "",
            "currency": "EUR", "calendar": "shop", "out_of_sequence": "wait",
        }  # fmt: skip
        table = metadata.tables["project"]
        number = connection.execute(
            table.insert().values(**project).returning(table.c.id)
        ).scalar_one()
        for name, rows in ROWS.items():
            for position, row in enumerate(rows):
                common = {"project_id": number, "position": position, "version": 1}
                values = {**common, "withdrawn": False, **row}
                connection.execute(metadata.tables[name].insert(), values)
        log = {
            "project_id": number, "plan_version": 1, "at": AT.replace(tzinfo=None),
            "as_of": DAY_ONE, "finish": DAY_ONE, "reason": "",
        }  # fmt: skip
        connection.execute(metadata.tables["forecast_log"].insert(), log)
