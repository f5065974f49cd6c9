"""A small plan with an evaluation: zones, two method cards, findings, what was drafted."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

from ribstitch.assets import seed_folder

DAY = "2026-10-05"
AUTHENTICITY = {"o": "original", "l": "later_change", "u": "unknown"}
TREATMENTS = {
    "": None, "re-cover": "re_cover", "re-wire": "re_wire", "replate": "replate",
}  # fmt: skip


def card(key: str, name: str, driver: str, **more: Any) -> dict[str, Any]:
    """Return a method card of one step."""
    step = {"number": 1, "name": name, "hours": ["2", "4", "9"], "trade": "metal"}
    return {"id": key, "name": name, "driver": driver, "steps": [step], **more}


def evaluated_plan(**changes: Any) -> dict[str, Any]:
    """
    Return a plan file: three zones, four findings that stand and one withdrawn.

    By hand. Bow: F1 (grade 3, restore by card M15, two tasks, one done) and F2 (grade 0, not
    decided, two photos). Tail: F3 (grade 4, reproduced from a trace, own hours, no task yet).
    F4 (grade 1, kept) lies in no zone; F5 is withdrawn. The bow's bays are opened by T1, which
    is done; the tail's by T3, which is not; nothing says what opens the wing.
    """
    done = {"state": "done", "started": DAY, "finished": DAY}
    digest = "0" * 64
    plan: dict[str, Any] = {
        "format": "ribstitch-plan/1",
        "project": {
            "name": "Walked round", "aircraft": "Two-seat amphibian", "serial": "7",
            "start": DAY, "as_of": DAY, "restored_to": "1947", "airframe": "amphibian",
        },
        "zones": [
            {"id": "bow", "name": "Bow", "opened_by": "T1"},
            {"id": "tail", "name": "Tail", "opened_by": "T3"},
            {"id": "lwing", "name": "Left wing"},
        ],
        "tasks": [
            {"id": "T1", "name": "Take the cloth off", "days": 1, "zone": "bow", "chapter": "53",
             "trade": "metal", "status": done, "origin": {"job": "F1", "finding": "F1"}},
            {"id": "T2", "name": "Make good", "days": 2, "zone": "bow", "chapter": "53",
             "trade": "metal", "origin": {"job": "F1", "finding": "F1"}},
            {"id": "T3", "name": "Open the tail", "days": 2, "zone": "tail", "chapter": "55"},
            {"id": "T4", "name": "No more", "days": 2, "zone": "bow",
             "status": {"state": "dropped"}, "origin": {"job": "F1", "finding": "F1"}},
        ],
        "crew": [{"trade": "metal", "label": "Metalworker 1"}],
        "kinds": [{"id": "casting", "name": "Castings", "over_median": 1.2, "over_p90": 1.6}],
        "cards": [
            card("M15", "Remove later work", "mod", evidence="photo of the later work"),
            card("M06", "Mend a skin with a patch", "patch"),
            card("M05", "Open up", "bay"),
        ],
        "standing_jobs": [{"id": "J1", "card": "M05", "zone": "bow", "quantity": "2"}],
        "findings": [
            {"id": "F1", "seen": "Glass cloth over the bow plating", "zone": "bow",
             "chapter": "53", "grade": 3, "authenticity": "later_change", "treatment": "restore",
             "card": "M15", "decided_by": "Lead 1", "decided_on": DAY, "kept_at": "Shelf 4"},
            {"id": "F2", "seen": "Bow plating dented", "zone": "bow", "chapter": "53",
             "authenticity": "original", "seen_by": "Lead 2"},
            {"id": "F3", "seen": "Water rudder missing", "title": "Water rudder", "zone": "tail",
             "chapter": "27", "grade": 4, "treatment": "reproduce", "rung": "trace",
             "own_hours": ["16", "26", "44"], "own_trade": "metal", "decided_by": "Owner 1"},
            {"id": "F4", "seen": "Log books complete", "grade": 1, "treatment": "keep",
             "authenticity": "original"},
            {"id": "F5", "seen": "Written down twice", "zone": "bow", "grade": 5,
             "treatment": "replace", "dropped": True},
        ],
        "evidence": [
            {"id": key, "sha256": digest, "media_type": "image/jpeg", "size": 9, "added_on": DAY,
             "finding": "F2"}
            for key in ("E1", "E2")
        ],
    }  # fmt: skip
    return {**plan, **changes}


def garganey_findings(folder: Path | None = None) -> list[dict[str, Any]]:
    """Return the findings of the demo's walk-round, without cards and send-outs."""
    file = (folder or seed_folder()) / "garganey" / "findings.csv"
    with file.open(encoding="utf-8", newline="") as lines:
        return [_finding(row) for row in csv.DictReader(lines)]


def _finding(row: dict[str, str]) -> dict[str, Any]:
    treatment = row["treatment"]
    return {
        "id": row["finding"].replace("F0", "F"),
        "seen": row["text"],
        "zone": row["zone"],
        "chapter": row["chapter"],
        "grade": int(row["grade"]),
        "authenticity": AUTHENTICITY[row["authenticity"]],
        "treatment": TREATMENTS.get(treatment, treatment),
    }
