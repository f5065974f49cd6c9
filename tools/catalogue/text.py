"""A text as the catalogue has it."""

from __future__ import annotations

from typing import NamedTuple


class Text(NamedTuple):
    """A text in English, the key of its translations: slots are ``{0}``, a number ``{n}``."""

    key: str
    where: str
    """The file that says it."""
    slots: tuple[str, ...] = ()
    """What is put in, as the code has it: a hint for whoever translates."""
