"""Write the reference page of the API from its own description.

Run ``python -m tools.write_api_reference`` after changing an endpoint; a test compares the
page with what this would write.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ribstitch.api import create_app
from ribstitch.api.openapi import DESCRIPTION, TAGS
from ribstitch.api.problems import PROBLEMS
from ribstitch.settings import Settings

PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "api.md"
_NOTE = "<!-- Written by tools/write_api_reference.py: change the code, then run it again. -->"
_ROOT = "/api/v1"
_START = """\
All addresses below begin with `/api/v1`. The whole description, with the shape of every body and
answer, is served at `/api/v1/openapi.json`."""
_EXAMPLE = """\
On the demo, for example, weighing takes a day longer than planned:

```console
$ curl -s 'localhost:8765/api/v1/projects/1/tasks?q=weighing&limit=1'
$ curl -s -X PATCH localhost:8765/api/v1/projects/1/tasks/M30.1 \\
    -H 'Content-Type: application/json' -H 'If-Match: "1"' -d '{"days": 4}'
```"""


def main() -> None:
    """Write the page."""
    PAGE.write_text(page(), encoding="utf-8")


def page() -> str:
    """Return the page."""
    described = create_app(Settings(database_url="sqlite:///ribstitch.db")).openapi()
    parts = ["# The API", _NOTE, DESCRIPTION.strip(), _START, _EXAMPLE]
    for tag in TAGS:
        parts += [f"## {tag['name']}", tag["description"]]
        parts += [text for name, text in _operations(described) if name == tag["name"]]
    parts += ["## Refusals", _refusals()]
    return "\n\n".join(parts) + "\n"


def _operations(described: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield the tag and the text of every operation."""
    for path, operations in described["paths"].items():
        for method, operation in operations.items():
            short = path.removeprefix(_ROOT).replace("/projects/{project_id}", "/projects/{p}")
            heading = f"### `{method.upper()} {short}`"
            text = [heading, f"**{operation['summary']}**", operation["description"]]
            rows = [_row(one) for one in operation.get("parameters", []) if _is_shown(one)]
            if rows:
                text.append("\n".join(["| | |", "| --- | --- |", *rows]))
            text += _bodies(operation)
            yield operation["tags"][0], "\n\n".join(text)


def _bodies(operation: dict[str, Any]) -> list[str]:
    """Return the examples of an operation's body that fit on a line."""
    content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
    lines = [
        f"- {one['summary']}: `{json.dumps(one['value'], ensure_ascii=False)}`"
        for one in content.get("examples", {}).values()
    ]
    return ["\n".join(["Bodies, for example:", "", *lines])] if lines else []


def _is_shown(parameter: dict[str, Any]) -> bool:
    """Return whether a parameter needs a line (the project's number does not)."""
    return parameter["name"] not in {"project_id", "if-match", "reason"}


def _row(parameter: dict[str, Any]) -> str:
    """Return a parameter as a row of a table."""
    default = parameter["schema"].get("default")
    ending = f" (default {default})" if default not in {None, ""} else ""
    return f"| `{parameter['name']}` | {parameter.get('description', '')}{ending} |"


def _refusals() -> str:
    """Return the kinds of refusals as a table."""
    rows = [f"| {one.status} | `{one.name}` | {one.title}. {one.advice} |" for one in PROBLEMS]
    return "\n".join(["| status | kind | what it means |", "| --- | --- | --- |", *rows])


if __name__ == "__main__":
    main()
