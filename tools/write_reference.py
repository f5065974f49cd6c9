"""Write the reference pages that follow from the code: commands and settings.

Run ``python -m tools.write_reference`` after changing either; a test compares the pages
with what this would write.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer.main
from pydantic.fields import FieldInfo

from ribstitch.cli.main import app
from ribstitch.settings import Settings

REFERENCE = Path(__file__).resolve().parents[1] / "docs" / "reference"
_NOTE = "<!-- Written by tools/write_reference.py: change the code, then run it again. -->"
_COMMANDS = """\
Each command that looks at a plan reads a plan file, or with `--project` a project of the
database. With `--json` it prints one JSON object on standard output, and nothing else
there. It ends with status 0, or with 2 and one sentence on standard error that names the
file, the place in it and the value."""

_SETTINGS = """\
Settings are environment variables, read once when a command starts. They can also stand in a
[TOML](https://toml.io) file that `RIBSTITCH_CONFIG` names, without the prefix and in small letters:

```toml
database_url = "sqlite:////srv/ribstitch/ribstitch.db"
backup_folder = "/srv/backups"
log_level = "info"
```

What an option of the command says comes first, then the environment, then the file. A setting that
is refused, or that there is not, ends the command with a sentence that names it, and the file."""


def main() -> None:
    """Write both pages."""
    for name, text in pages().items():
        (REFERENCE / name).write_text(text, encoding="utf-8")


def pages() -> dict[str, str]:
    """Return the pages by file name."""
    return {"commands.md": commands_page(), "settings.md": settings_page()}


def command_names() -> list[str]:
    """Return the names of all commands, in the order of the help."""
    return list(_group().commands)


def commands_page() -> str:
    """Describe every command and option."""
    parts = ["# Commands", _NOTE, _COMMANDS]
    for name, command in _group().commands.items():
        shown = [one for one in command.params if not getattr(one, "hidden", False)]
        parts.append(f"## `ribstitch {name}`\n\n{command.help.strip()}")
        rows = [f"| {_name(one)} | {_help(one)} |" for one in shown if one.name != "help"]
        if rows:
            parts.append("\n".join(["| | |", "| --- | --- |", *rows]))
    return "\n\n".join(parts) + "\n"


def settings_page() -> str:
    """Describe every environment variable."""
    prefix = Settings.model_config.get("env_prefix", "")
    rows = [
        f"| `{f'{prefix}{name}'.upper()}` | {_default(field)} | {field.description} |"
        for name, field in Settings.model_fields.items()
    ]
    parts = [
        "# Settings",
        _NOTE,
        _SETTINGS,
        "\n".join(["| variable | default | meaning |", "| --- | --- | --- |", *rows]),
    ]
    return "\n\n".join(parts) + "\n"


def _default(field: FieldInfo) -> str:
    """Return what a setting is if nobody sets it."""
    default = field.get_default()
    return "" if default is None else f"`{default}`"


def _group() -> Any:
    """Return the command with everything below it."""
    return typer.main.get_command(app)


def _name(parameter: Any) -> str:
    """Return how a parameter is written."""
    metavar = parameter.metavar or ""
    if parameter.param_type_name == "argument":
        return f"`{metavar}`"
    names = ", ".join(f"`{one}`" for one in parameter.opts)
    return f"{names} `{metavar}`" if metavar else names


def _help(parameter: Any) -> str:
    """Return what a parameter does, with its default where it has one worth naming."""
    default = parameter.default
    text = (parameter.help or "").rstrip()
    if isinstance(default, str | int) and not isinstance(default, bool):
        return f"{text} Default: `{default}`."
    return text


if __name__ == "__main__":
    main()
