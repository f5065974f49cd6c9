"""A shop's own drawing of its aircraft, with the zones traced on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

Corner = tuple[float, ...]
"""Two numbers, from the left and from the top: shares of the width and of the height."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A zone on a drawing: a polygon, closed by itself."""

    zone: str
    corners: tuple[Corner, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture of the aircraft: a file that is kept beside the database under its own digest."""

    id: str
    sha256: str
    width: int
    """[points]"""
    height: int
    """[points]"""
    added_on: date
    name: str = ""
    by: str = ""
    shown: bool = True
    """The airframe map is drawn on it, instead of the drawing that comes with the program."""
    outlines: tuple[Outline, ...] = ()
