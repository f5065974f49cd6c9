"""
The plan in the trade's words: frozen dataclasses, no arithmetic.

Durations and lags are in ticks (1,440 to a working day of the calendar that is meant);
everything a person enters as a date is a `date`. Tuples keep the order of entry.
"""

from __future__ import annotations

from ribstitch.planning.model.crew import Crew, CrewLink, Expedite, Place, RateFrom
from ribstitch.planning.model.money import (
    Baseline,
    BudgetLine,
    Cost,
    CostStep,
    Due,
    ExchangeRate,
    Funding,
    HoursWorked,
    OverAndAbove,
    Package,
    Payment,
)
from ribstitch.planning.model.plan import Plan, Project
from ribstitch.planning.model.sending import (
    Contact,
    PastJob,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Vendor,
)
from ribstitch.planning.model.words import (
    CrewLinkKind,
    Decision,
    DueAt,
    EarningRule,
    ExpediteKind,
    LagOn,
    Milestone,
    OutOfSequence,
    Relation,
    Source,
    State,
    WorkShape,
)
from ribstitch.planning.model.work import ELAPSED, Calendar, Link, Risk, Task, TaskStatus, Zone

__all__ = [
    "ELAPSED",
    "Baseline",
    "BudgetLine",
    "Calendar",
    "Contact",
    "Cost",
    "CostStep",
    "Crew",
    "CrewLink",
    "CrewLinkKind",
    "Decision",
    "Due",
    "DueAt",
    "EarningRule",
    "ExchangeRate",
    "Expedite",
    "ExpediteKind",
    "Funding",
    "HoursWorked",
    "LagOn",
    "Link",
    "Milestone",
    "OutOfSequence",
    "OverAndAbove",
    "Package",
    "PastJob",
    "Payment",
    "Place",
    "Plan",
    "Project",
    "RateFrom",
    "Relation",
    "Risk",
    "SendOut",
    "SendOutKind",
    "SendOutStatus",
    "Source",
    "State",
    "Task",
    "TaskStatus",
    "Vendor",
    "WorkShape",
    "Zone",
]
