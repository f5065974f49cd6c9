"""Tables of the database, one row a thing."""

from ribstitch.store.tables.accounts import (
    AccountLogRow,
    AccountRow,
    ApiTokenRow,
    BrowserSessionRow,
    MembershipRow,
    OneTimeLinkRow,
    SignInTryRow,
)
from ribstitch.store.tables.base import Base, PlanRow, table_of
from ribstitch.store.tables.drawing import DrawingRow
from ribstitch.store.tables.log import (
    ChangeRow,
    ForecastLogRow,
    ForecastSpreadRow,
    PlanSnapshotRow,
)
from ribstitch.store.tables.money import (
    BaselineRow,
    BudgetLineRow,
    CostRow,
    ExchangeRateRow,
    ExpediteRow,
    FundingRow,
    HoursWorkedRow,
    OverAndAboveRow,
    RiskRow,
)
from ribstitch.store.tables.project import LAST_PROJECT, ProjectRow
from ribstitch.store.tables.requests import RequestDoneRow
from ribstitch.store.tables.resources import CalendarRow, CrewRow, PlaceRow
from ribstitch.store.tables.survey import (
    DraftRow,
    EvidenceRow,
    FindingRow,
    MethodCardRow,
    SignOffRow,
    StandingJobRow,
)
from ribstitch.store.tables.vendors import SendOutKindRow, SendOutRow, VendorRow
from ribstitch.store.tables.work import CrewLinkRow, LinkRow, TaskRow, ZoneRow

__all__ = [
    "LAST_PROJECT",
    "AccountLogRow",
    "AccountRow",
    "ApiTokenRow",
    "Base",
    "BaselineRow",
    "BrowserSessionRow",
    "BudgetLineRow",
    "CalendarRow",
    "ChangeRow",
    "CostRow",
    "CrewLinkRow",
    "CrewRow",
    "DraftRow",
    "DrawingRow",
    "EvidenceRow",
    "ExchangeRateRow",
    "ExpediteRow",
    "FindingRow",
    "ForecastLogRow",
    "ForecastSpreadRow",
    "FundingRow",
    "HoursWorkedRow",
    "LinkRow",
    "MembershipRow",
    "MethodCardRow",
    "OneTimeLinkRow",
    "OverAndAboveRow",
    "PlaceRow",
    "PlanRow",
    "PlanSnapshotRow",
    "ProjectRow",
    "RequestDoneRow",
    "RiskRow",
    "SendOutKindRow",
    "SendOutRow",
    "SignInTryRow",
    "SignOffRow",
    "StandingJobRow",
    "TaskRow",
    "VendorRow",
    "ZoneRow",
    "table_of",
]
