"""Crew levelling: plans that people and places can really do, and how good they are."""

from ribstitch.planning.levelling.board import Clock, Progress
from ribstitch.planning.levelling.level_project import LevelledProject, level_project
from ribstitch.planning.levelling.patterson import parse_patterson
from ribstitch.planning.levelling.resource_project import ResourceProject, StartLag

__all__ = [
    "Clock",
    "LevelledProject",
    "Progress",
    "ResourceProject",
    "StartLag",
    "level_project",
    "parse_patterson",
]
