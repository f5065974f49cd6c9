"""Refuse drawings on which no zone could be drawn."""

from __future__ import annotations

from ribstitch.planning.check_values import (
    check_between,
    check_date,
    check_known,
    check_unique,
)
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Drawing, Outline, Plan

FEWEST_CORNERS, MOST_CORNERS = 3, 200
LARGEST_SIDE = 20_000
"""[points]"""


def check_drawings(plan: Plan, zones: set[str]) -> None:
    """
    Check the drawings of a plan and the zones traced on them.

    Raises
    ------
    InvalidValueError, DuplicateIdError, UnknownReferenceError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    check_unique(plan.drawings, "drawings", "drawing")
    for number, drawing in enumerate(plan.drawings):
        _check_drawing(drawing, zones, f"drawings[{number}]")


def _check_drawing(drawing: Drawing, zones: set[str], where: str) -> None:
    """Check the size of a drawing, and each zone on it once."""
    check_between(drawing.width, 1, LARGEST_SIDE, f"{where}.width")
    check_between(drawing.height, 1, LARGEST_SIDE, f"{where}.height")
    check_date(drawing.added_on, f"{where}.added_on")
    traced: set[str] = set()
    for number, outline in enumerate(drawing.outlines):
        here = f"{where}.outlines[{number}]"
        check_known(outline.zone, zones, f"{here}.zone", "zone")
        if outline.zone in traced:
            raise InvalidValueError(
                f"{here}.zone", f'the zone "{outline.zone}" has an outline already', outline.zone
            )
        traced.add(outline.zone)
        _check_corners(outline, f"{here}.corners")


def _check_corners(outline: Outline, where: str) -> None:
    """Check that there are enough corners, and that each lies on the picture."""
    count = len(outline.corners)
    if not FEWEST_CORNERS <= count <= MOST_CORNERS:
        reason = (
            f'an outline has {FEWEST_CORNERS} to {MOST_CORNERS} corners; "{outline.zone}" has'
            f" {count}"
        )
        raise InvalidValueError(where, reason, count)
    for number, corner in enumerate(outline.corners):
        for axis, share in enumerate(corner):
            check_between(share, 0, 1, f"{where}[{number}][{axis}]")
