"""Running the command in this process, as the keyboard would."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from ribstitch.cli import main


@dataclass(frozen=True)
class Ran:
    """What one command left behind."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output read as one JSON document."""
        return json.loads(self.out)


@pytest.fixture
def ribstitch(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Ran]:
    """Return a function that runs the command with arguments."""

    def run(*arguments: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["ribstitch", *map(str, arguments)])
        with pytest.raises(SystemExit) as ended:
            main()
        shown = capsys.readouterr()
        return Ran(int(ended.value.code or 0), shown.out, shown.err)

    return run


def small_plan() -> dict[str, Any]:
    """Return a plan document with two tasks and an engine away between them."""
    return {
        "format": "ribstitch-plan/1",
        "project": {"start": "2026-01-05", "as_of": "2026-01-07", "target_finish": "2026-09-30"},
        "calendars": [{"id": "shop"}, {"id": "v1", "closed": [["2026-02-02", "2026-02-06"]]}],
        "tasks": [
            {"id": "T010", "name": "Take the engine off", "days": 3},
            {"id": "T020", "name": "Clean the bay", "days": 2.5},
            {"id": "T090", "name": "Hang the engine", "days": 2},
        ],
        "links": [{"from": "T010", "to": "T020"}, {"from": "T020", "to": "T090"}],
        "vendors": [{"id": "V1", "name": "Engine room", "calendar": "v1"}],
        "send_outs": [
            {
                "id": "S1",
                "name": "Engine",
                "vendor": "V1",
                "after": ["T010"],
                "before": ["T090"],
                "prepare_days": 1,
                "ship_out_days": 3,
                "lead_days": 20,
                "ship_back_days": 3,
                "accept_days": 1,
            }
        ],
    }


@pytest.fixture
def plan_file(tmp_path: Path) -> Callable[..., Path]:
    """Return a function that writes a (changed) small plan and returns its path."""

    def write(change: Callable[[dict[str, Any]], object] | None = None) -> Path:
        document = small_plan()
        if change is not None:
            change(document)
        path = tmp_path / "plan.json"
        path.write_text(json.dumps(document))
        return path

    return write
