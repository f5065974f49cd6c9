"""Write a scenario's plan file: ``python -m ribstitch.seeding seed_data garganey``."""

from __future__ import annotations

import sys
from pathlib import Path

from ribstitch.seeding import build_plan, plan_text


def read_texts(folder: Path, scenario: str) -> dict[str, str]:
    """Return the CSV texts of a seed folder and of one scenario in it, by name."""
    files = [*folder.glob("*.csv"), *(folder / scenario).glob("*.csv")]
    return {file.stem: file.read_text(encoding="utf-8") for file in sorted(files)}


def main() -> None:
    """Build the plan of a scenario and write it beside its folder."""
    folder, scenario = Path(sys.argv[1]), sys.argv[2]
    target = folder / f"{scenario}.plan.json"
    target.write_text(plan_text(build_plan(read_texts(folder, scenario))), encoding="utf-8")
    sys.stdout.write(f"{target}\n")


if __name__ == "__main__":
    main()
