"""Crew levelling: plans that people and places can really do, and how good they are."""

from ribstitch.planning.levelling.board import Clock, Progress
from ribstitch.planning.levelling.crew_links import crew_links
from ribstitch.planning.levelling.level_plan import LevelledPlan, level_plan
from ribstitch.planning.levelling.level_project import LevelledProject, level_project
from ribstitch.planning.levelling.loads import Absence, WeekLoad, long_absences, week_loads
from ribstitch.planning.levelling.patterson import parse_patterson
from ribstitch.planning.levelling.resource_project import ResourceProject, StartLag

__all__ = [
    "Absence",
    "Clock",
    "LevelledPlan",
    "LevelledProject",
    "Progress",
    "ResourceProject",
    "StartLag",
    "WeekLoad",
    "crew_links",
    "level_plan",
    "level_project",
    "long_absences",
    "parse_patterson",
    "week_loads",
]
