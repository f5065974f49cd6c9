"""Put the demo project into the store."""

from __future__ import annotations

from datetime import datetime

from ribstitch.assets import seed_folder
from ribstitch.planfile import read_plan_file
from ribstitch.services.import_plan import import_plan
from ribstitch.store import Person, Store

DEMO = "garganey.plan.json"


def load_demo(store: Store, person: Person, at: datetime) -> int:
    """
    Store the demo project; return its number.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    return import_plan(store, read_plan_file(seed_folder() / DEMO), person, at)
