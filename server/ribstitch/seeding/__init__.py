"""Turns survey findings and method cards into a plan document.

Pure functions: CSV texts go in, a `ribstitch-plan/1` document comes out. Only
`__main__` reads and writes files.
"""

from ribstitch.seeding.build import build_plan
from ribstitch.seeding.plan_text import plan_text

__all__ = ["build_plan", "plan_text"]
