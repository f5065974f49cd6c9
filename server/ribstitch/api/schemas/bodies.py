"""Bodies that are no part of a plan file."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from ribstitch.planfile.document import Document, Id, Money, Name

_Days = Annotated[float, Field(allow_inf_nan=False, description="Days late, from 0 to 3660")]
_Lead = Annotated[float, Field(allow_inf_nan=False, description="Working days of the vendor")]
_Percent = Annotated[
    float, Field(allow_inf_nan=False, description="So much longer; below 0: shorter")
]


class SessionChoice(Document):
    """The role in which somebody looks at the plan."""

    role: Literal["lead", "owner", "planner"]


class ContactNote(Document):
    """One word with a vendor."""

    on: date
    note: Name


class Rejection(Document):
    """An item that was received and turned down."""

    on: date


class UndoAsked(Document):
    """The thing whose last change is taken back."""

    kind: Annotated[
        Literal[
            "project",
            "calendar",
            "zone",
            "task",
            "link",
            "send_out_kind",
            "vendor",
            "send_out",
            "crew",
            "place",
            "crew_link",
            "expedite",
            "risk",
            "cost",
            "budget_line",
            "exchange_rate",
            "evidence",
            "hours_worked",
            "funding",
            "baseline",
            "over_and_above",
            "sign_off",
            "method_card",
            "standing_job",
            "finding",
            "drawing",
        ],
        Field(description="As in the change log"),
    ]
    key: Annotated[str, Field(max_length=200, description="Its id in the plan; empty: the project")]


class VendorLateAsked(Document):
    """All open items of a vendor come late together."""

    kind: Literal["vendor_late"]
    vendor: Id
    days: _Days


class SendOutLateAsked(Document):
    """One item comes late."""

    kind: Literal["send_out_late"]
    send_out: Id
    days: _Days


class VendorSwappedAsked(Document):
    """An item that is still here goes to another vendor."""

    kind: Literal["vendor_swapped"]
    send_out: Id
    vendor: Id
    lead_days: _Lead | None = None


class TaskDroppedAsked(Document):
    """A task is not done at all."""

    kind: Literal["task_dropped"]
    task: Id


class BoughtAsExchangeAsked(Document):
    """An exchange unit is bought instead of waiting."""

    kind: Literal["bought_as_exchange"]
    send_out: Id
    lead_days: _Lead


class ExtraDaysAsked(Document):
    """A calendar works on one more weekday for a while."""

    kind: Literal["extra_days"]
    calendar: Id
    weekday: Annotated[int, Field(description="0 is Monday")]
    first: date
    last: date
    hours: Annotated[float, Field(allow_inf_nan=False)]


class ExpediteTakenAsked(Document):
    """An expedite is taken, all that is left of it or a number of days."""

    kind: Literal["expedite_taken"]
    expedite: Id
    days: (
        Annotated[
            float,
            Field(
                allow_inf_nan=False,
                description="Days that it takes off; null: all that is left of it",
            ),
        ]
        | None
    ) = None


class TaskTakesAsked(Document):
    """A task takes so many working days in all."""

    kind: Literal["task_takes"]
    task: Id
    days: Annotated[float, Field(allow_inf_nan=False)]


class TaskNotBeforeAsked(Document):
    """A task that has not begun does not start before a date."""

    kind: Literal["task_not_before"]
    task: Id
    on: date


class WaitDroppedAsked(Document):
    """A task no longer waits for another one."""

    kind: Literal["wait_dropped"]
    task: Id
    before: Annotated[Id, Field(description="What it waits for now")]


class RiskSettledAsked(Document):
    """A risk strikes, or it is known that it does not."""

    kind: Literal["risk_settled"]
    risk: Id
    strikes: bool


class OneMoreHandAsked(Document):
    """One more person of a trade from a date on."""

    kind: Literal["one_more_hand"]
    trade: Id
    first: date


class TradeAwayAsked(Document):
    """Nobody of a trade works in a range of dates, both included."""

    kind: Literal["trade_away"]
    trade: Id
    first: date
    last: date


class TradeDaysAsked(Document):
    """A trade works full days on one more weekday for a while."""

    kind: Literal["trade_days"]
    trade: Id
    weekday: Annotated[int, Field(description="0 is Monday")]
    first: date
    last: date


class TradeSlowerAsked(Document):
    """What is open of a trade's work takes longer."""

    kind: Literal["trade_slower"]
    trade: Id
    percent: _Percent


class ZoneSlowerAsked(Document):
    """What is open of a zone's work takes longer."""

    kind: Literal["zone_slower"]
    zone: Id
    percent: _Percent


ChangeAsked = Annotated[
    VendorLateAsked
    | SendOutLateAsked
    | VendorSwappedAsked
    | TaskDroppedAsked
    | BoughtAsExchangeAsked
    | ExtraDaysAsked
    | ExpediteTakenAsked
    | TaskTakesAsked
    | TaskNotBeforeAsked
    | WaitDroppedAsked
    | RiskSettledAsked
    | OneMoreHandAsked
    | TradeAwayAsked
    | TradeDaysAsked
    | TradeSlowerAsked
    | ZoneSlowerAsked,
    Field(discriminator="kind"),
]


class CaseAsked(Document):
    """One case: changes in order."""

    name: Name = ""
    changes: Annotated[list[ChangeAsked], Field(max_length=100)]


class CasesAsked(Document):
    """Cases to compare with the plan."""

    cases: Annotated[list[CaseAsked], Field(min_length=1, max_length=12)]


class CaseAdopted(Document):
    """A case that shall become the plan."""

    plan_version: Annotated[int, Field(description="Of the plan that the case was looked at with")]
    case: CaseAsked


class PullingInAsked(Document):
    """What an earlier finish shall reach or cost; neither: the curve alone."""

    by: Annotated[date | None, Field(description="The wanted finish")] = None
    budget: Annotated[
        Money | None,
        Field(ge=0, description="A sum in the project's currency, as a decimal string"),
    ] = None
