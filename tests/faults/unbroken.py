"""Whether a change log is whole, and holds all that was acknowledged, once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from ribstitch.store import Store, make_engine
from tests.faults.writing import Written


def faults_of(database_url: str, project_id: int, writers: Sequence[Written]) -> list[str]:
    """
    Return what is wrong with a project's log; empty: nothing lost, nothing doubled.

    Each plan version has its change and its forecast; each thing goes from version to version
    without a gap, each change begins where the one before it ended, and the plan is what the last
    of them left; every acknowledged word is in the log under its number, every other one at
    most once, and no refused one.
    """
    store = Store(make_engine(database_url))
    try:
        with store.reading() as look:
            changes = look.changes(project_id)[::-1]
            now = look.plan(project_id)
            forecasts = [one.plan_version for one in look.forecasts(project_id)]
    finally:
        store.close()
    faults = [odd for one in writers for odd in one.odd]
    versions = sorted({one.plan_version for one in changes} | {1})
    if versions != list(range(1, now.plan_version + 1)):
        faults.append(f"plan versions are {versions[:3]} ... of {now.plan_version}")
    if sorted(forecasts) != versions:
        faults.append(f"{len(forecasts)} forecasts are logged for {len(versions)} plan versions")
    by_thing: dict[tuple[str, str], list[tuple[int, object, object]]] = {}
    for one in changes:
        by_thing.setdefault((one.kind, one.key), []).append((one.version, one.before, one.after))
    for (kind, key), lines in by_thing.items():
        for (earlier, _, left), (later, found, _) in pairwise(lines):
            if later != earlier + 1 or found != left:
                faults.append(f"{kind} {key}: {earlier} is not what {later} began with")
        if now.versions[kind].get(key) != lines[-1][0]:
            faults.append(f"{kind} {key}: the plan does not have version {lines[-1][0]}")
    names = {task.id: task.name for task in now.plan.tasks}
    words = Counter((one.after or {}).get("name", "") for one in changes if one.kind == "task")
    numbers = {(one.after or {}).get("name", ""): one.number for one in changes}
    last = {one.key: (one.after or {}).get("name", "") for one in changes if one.kind == "task"}
    faults += [f"{key} is not called {word}" for key, word in last.items() if names[key] != word]
    for writer in writers:
        for word, number in writer.acknowledged.items():
            if words[word] != 1 or numbers[word] != number:
                faults.append(f"{word} was acknowledged and is in the log {words[word]} times")
        faults += [f"{word} was kept twice" for word in writer.unanswered if words[word] > 1]
        faults += [f"{word} was refused and kept" for word in writer.refused if words[word]]
    return faults
