"""Put the demo project into the store."""

from __future__ import annotations

from datetime import datetime

from ribstitch.assets import seed_folder
from ribstitch.planfile import read_plan_file
from ribstitch.services.import_plan import import_plan
from ribstitch.store import FileStore, Person, Store

DEMO = "garganey.plan.json"
PHOTOS = "garganey/photos"


def load_demo(store: Store, files: FileStore, person: Person, at: datetime) -> int:
    """
    Store the demo project with its photos; return its number.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    for photo in sorted((seed_folder() / PHOTOS).iterdir()):
        files.put(photo.read_bytes())
    return import_plan(store, read_plan_file(seed_folder() / DEMO), person, at)
