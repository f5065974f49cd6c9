"""Crew levelling: plans that people and places can really do, and how good they are."""

from ribstitch.planning.levelling.board import Clock, Progress
from ribstitch.planning.levelling.bottleneck import Bottleneck, PathShare, bottleneck, path_shares
from ribstitch.planning.levelling.crew_links import crew_links
from ribstitch.planning.levelling.gains import Gain, GainKind, OneMore, one_more
from ribstitch.planning.levelling.level_plan import LevelledPlan, crew_fault, level_plan
from ribstitch.planning.levelling.level_project import LevelledProject, level_project
from ribstitch.planning.levelling.loads import Absence, WeekLoad, crew_loads, long_absences
from ribstitch.planning.levelling.patterson import parse_patterson
from ribstitch.planning.levelling.resource_project import ResourceProject, StartLag
from ribstitch.planning.levelling.rota import Person, Rota, Turn, rota
from ribstitch.planning.levelling.waits import CrewWait, crew_waits

__all__ = [
    "Absence",
    "Bottleneck",
    "Clock",
    "CrewWait",
    "Gain",
    "GainKind",
    "LevelledPlan",
    "LevelledProject",
    "OneMore",
    "PathShare",
    "Person",
    "Progress",
    "ResourceProject",
    "Rota",
    "StartLag",
    "Turn",
    "WeekLoad",
    "bottleneck",
    "crew_fault",
    "crew_links",
    "crew_loads",
    "crew_waits",
    "level_plan",
    "level_project",
    "long_absences",
    "one_more",
    "parse_patterson",
    "path_shares",
    "rota",
]
