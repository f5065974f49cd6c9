"""The `ribstitch` command."""

from ribstitch.cli.main import main

__all__ = ["main"]
