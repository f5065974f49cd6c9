"""What the courses of a plan are drawn from; all else can change without another draw."""

from __future__ import annotations

from dataclasses import fields, replace

from ribstitch.planning.model import Plan, Project

_DRAWN_FROM = (
    "calendars", "zones", "tasks", "links", "kinds", "vendors", "send_outs", "crew", "places",
    "crew_links", "expedites", "risks",
)  # fmt: skip
_OF_PROJECT = (
    "start", "as_of", "calendar", "out_of_sequence", "work_shape", "zone_spread", "trade_spread",
)  # fmt: skip


def drawn_from(plan: Plan) -> Plan:
    """
    Return a plan with nothing in it that no course depends on: money, findings, names of it.

    Two plans of which this is equal have equal courses, from the same seed.
    """
    kept = {name: getattr(plan.project, name) for name in _OF_PROJECT}
    bare = {one.name: () for one in fields(Plan) if one.name not in {"project", *_DRAWN_FROM}}
    return replace(plan, project=Project(**kept), **bare)
