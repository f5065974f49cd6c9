"""Where the pages and the seed data lie: in the wheel, or in the checkout.

A wheel carries both folders inside the package; an installation that points at the
checkout finds them at the top of it.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_CHECKOUT = _PACKAGE.parents[1]


def web_folder() -> Path:
    """
    Return the folder of the pages, scripts and style sheets.

    Raises
    ------
    FileNotFoundError
        If neither the package nor a checkout around it has the folder.
    """
    return _folder("web")


def seed_folder() -> Path:
    """
    Return the folder of the demo project.

    Raises
    ------
    FileNotFoundError
        If neither the package nor a checkout around it has the folder.
    """
    return _folder("seed_data")


def _folder(name: str) -> Path:
    """Return the packaged folder, else the one of the checkout."""
    for folder in (_PACKAGE / f"_{name}", _CHECKOUT / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"The folder {name} is missing: install Ribstitch again.")
