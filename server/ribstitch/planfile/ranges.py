"""Low, likely and high: between days of a plan file and ticks."""

from __future__ import annotations

from ribstitch.planning.ticks import days_from_ticks, ticks_from_days


def range_from(span: tuple[float, float, float] | None) -> tuple[int, int, int] | None:
    """Convert low, likely and high days to ticks where there are any."""
    if span is None:
        return None
    return ticks_from_days(span[0]), ticks_from_days(span[1]), ticks_from_days(span[2])


def range_document(span: tuple[int, int, int] | None) -> tuple[float, float, float] | None:
    """Convert low, likely and high ticks back."""
    if span is None:
        return None
    return days_from_ticks(span[0]), days_from_ticks(span[1]), days_from_ticks(span[2])
