"""What all answers share."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field


class Answer(BaseModel):
    """
    Base of the models that describe answers.

    Answers are encoded at once; these models describe them in the OpenAPI document.
    """

    model_config = ConfigDict(extra="forbid")


CalendarDays = Annotated[int, Field(description="Calendar days; positive is later")]
PlanVersion = Annotated[int, Field(description="Counts the changes of the project")]
Version = Annotated[int, Field(description="Of this thing; send it as If-Match to edit")]


class ProblemDetails(BaseModel):
    """A refusal (RFC 9457); some kinds carry further members."""

    model_config = ConfigDict(
        extra="allow",
        json_schema_extra={
            "example": {
                "type": "/api/v1/problems/invalid",
                "title": "The plan or a value makes no sense",
                "status": 422,
                "detail": 'status.started: "2031-01-01" is after the as-of date 2026-10-09',
                "instance": "/api/v1/projects/1/tasks/T010",
                "field": "status.started",
            }
        },
    )

    type: str = Field(description="Address of the kind of problem; it is explained there")
    title: str = Field(description="The same for all problems of a kind")
    status: int = Field(description="The HTTP status")
    detail: str = Field(description="One sentence for a person, naming field and value")
    instance: str = Field(description="The path that was asked for")


class Finish(Answer):
    """What a change did to the project finish."""

    before: date
    after: date
    moved_days: CalendarDays


class Recorded(Answer):
    """What a change did."""

    version: Version
    plan_version: PlanVersion
    change: int | None = Field(
        description="Number of the line in the change log; null where nothing differed"
    )
    finish: Finish


Document = dict[str, Any]
"""A part of a plan file, as it stands there."""
