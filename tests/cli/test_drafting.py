"""`ribstitch draft`: from an evaluation to a plan file."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ribstitch.planfile import read_plan_file
from tests.cli.conftest import Ran


def evaluation(**finding: Any) -> dict[str, Any]:
    """Return a plan file with one finding and a card of one step of eight hours."""
    return {
        "format": "ribstitch-plan/1",
        "project": {"start": "2026-01-05"},
        "zones": [{"id": "tail"}],
        "crew": [{"trade": "metal"}],
        "cards": [
            {"id": "P", "name": "Mend", "driver": "patch",
             "steps": [{"number": 1, "name": "Cut", "hours": ["4", "8", "16"], "trade": "metal"}]}
        ],
        "findings": [{"id": "F1", "seen": "Fin dented", "treatment": "repair", "zone": "tail",
                      "card": "P", **finding}],
    }  # fmt: skip


def written(folder: Path, document: dict[str, Any]) -> Path:
    path = folder / "plan.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def test_a_draft_is_a_plan_file_on_the_screen(
    ribstitch: Callable[..., Ran], tmp_path: Path
) -> None:
    """Eight hours on Monday 5 January: two tasks and a link; the tail's allowance changes."""
    ran = ribstitch("draft", written(tmp_path, evaluation()))
    assert ran.status == 0
    assert [task["id"] for task in ran.json["tasks"]] == ["F1.1", "handed_over"]
    assert ran.json["tasks"][0]["why"] == "finding F1 (Fin dented), card P, step 1"
    assert ran.err == "3 added, 1 changed, 0 dropped, 0 kept. Finish 2026-01-05.\n"


def test_a_draft_of_a_draft_says_that_nothing_changes(
    ribstitch: Callable[..., Ran], tmp_path: Path
) -> None:
    first, second = tmp_path / "first.json", tmp_path / "second.json"
    ribstitch("draft", written(tmp_path, evaluation()), "--output", first)
    ran = ribstitch("draft", first, "--output", second)
    assert (ran.status, ran.out) == (0, "")
    assert ran.err.startswith("0 added, 0 changed, 0 dropped, 0 kept.")
    assert first.read_bytes() == second.read_bytes()
    assert read_plan_file(first).drafts


def test_what_stands_in_the_way_is_said_finding_by_finding(
    ribstitch: Callable[..., Ran], tmp_path: Path
) -> None:
    ran = ribstitch("draft", written(tmp_path, evaluation(card=None)))
    assert ran.status == 0
    assert ran.err.startswith("F1 is to be treated (repair), but neither a method card nor hours")


def test_a_draft_that_closes_a_circle_is_refused_and_nothing_is_written(
    ribstitch: Callable[..., Ran], tmp_path: Path
) -> None:
    """Two steps side by side are tied by hand; then the card ties them the other way round."""
    document = evaluation()
    steps = document["cards"][0]["steps"]
    steps.append({**steps[0], "number": 2, "name": "Rivet"})
    document = ribstitch("draft", written(tmp_path, document)).json
    document["links"].append({"from": "F1.2", "to": "F1.1"})
    document["cards"][0]["steps"][1]["after"] = [1]
    output = tmp_path / "out.json"
    ran = ribstitch("draft", written(tmp_path, document), "--output", output)
    assert ran.status == 2
    assert "circle" in ran.err
    assert not output.exists()
