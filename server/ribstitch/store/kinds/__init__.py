"""How each kind of thing in a plan stands in its table and in the change log."""

from __future__ import annotations

from typing import Any

from ribstitch.store.kinds.kind import Kind
from ribstitch.store.kinds.money import (
    BASELINE,
    BUDGET_LINE,
    COST,
    EXCHANGE_RATE,
    EXPEDITE,
    FUNDING,
    HOURS_WORKED,
    OVER_AND_ABOVE,
    RISK,
)
from ribstitch.store.kinds.project import PROJECT, ProjectKind
from ribstitch.store.kinds.resources import CALENDAR, CREW, PLACE
from ribstitch.store.kinds.survey import (
    DRAFT,
    DRAWING,
    EVIDENCE,
    FINDING,
    METHOD_CARD,
    SIGN_OFF,
    STANDING_JOB,
)
from ribstitch.store.kinds.vendors import SEND_OUT, SEND_OUT_KIND, VENDOR
from ribstitch.store.kinds.work import CREW_LINK, LINK, TASK, ZONE

PLAN_KINDS: dict[str, Kind[Any]] = {
    kind.name: kind
    for kind in (
        CALENDAR,
        ZONE,
        TASK,
        LINK,
        SEND_OUT_KIND,
        VENDOR,
        SEND_OUT,
        CREW,
        PLACE,
        CREW_LINK,
        EXPEDITE,
        RISK,
        COST,
        BUDGET_LINE,
        EXCHANGE_RATE,
        HOURS_WORKED,
        FUNDING,
        BASELINE,
        OVER_AND_ABOVE,
        METHOD_CARD,
        STANDING_JOB,
        FINDING,
        EVIDENCE,
        SIGN_OFF,
        DRAFT,
        DRAWING,
    )
}
"""Every kind of thing in a plan by its name in the change log."""

__all__ = [
    "BASELINE",
    "BUDGET_LINE",
    "CALENDAR",
    "COST",
    "CREW",
    "CREW_LINK",
    "DRAFT",
    "DRAWING",
    "EVIDENCE",
    "EXCHANGE_RATE",
    "EXPEDITE",
    "FINDING",
    "FUNDING",
    "HOURS_WORKED",
    "LINK",
    "METHOD_CARD",
    "OVER_AND_ABOVE",
    "PLACE",
    "PLAN_KINDS",
    "PROJECT",
    "RISK",
    "SEND_OUT",
    "SEND_OUT_KIND",
    "SIGN_OFF",
    "STANDING_JOB",
    "TASK",
    "VENDOR",
    "ZONE",
    "Kind",
    "ProjectKind",
]
