"""Dates of a plan for a calendar that is kept elsewhere."""

from ribstitch.services.feed.dates import KeptDate, dates_for
from ribstitch.services.feed.ics_text import ics_text

__all__ = ["KeptDate", "dates_for", "ics_text"]
