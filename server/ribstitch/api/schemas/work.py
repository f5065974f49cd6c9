"""What edits of tasks, links and send-outs answer."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, Document, PlanVersion, Recorded, Version
from ribstitch.planfile.convert import link_from
from ribstitch.planfile.document import Document as Body
from ribstitch.planfile.document import LinkDocument, SendOutDocument
from ribstitch.services.plan_task import LinkAsked
from ribstitch.services.views.away import BoardLine
from ribstitch.services.views.task_card import TaskCard


class LinkChange(Body):
    """One link of a task as it stood, and as it shall be."""

    key: Annotated[
        str | None, Field(max_length=200, description="As the task tells it; null: it is new")
    ] = None
    version: Annotated[int | None, Field(description="As it was read; null: it is new")] = None
    link: Annotated[LinkDocument | None, Field(description="null: it is taken away")] = None

    def asked(self) -> LinkAsked:
        """Return it as the core has it."""
        link = None if self.link is None else link_from(self.link)
        return LinkAsked(self.key, self.version, link)


class TaskPlanAsked(Body):
    """What shall be otherwise of a task and its links."""

    task: dict[str, Any] = Field(
        default_factory=dict, description="JSON merge patch of the task as in a plan file"
    )
    links: list[LinkChange] = Field(default_factory=list, max_length=200)


class TaskRecorded(Recorded):
    """What an edit of a task did."""

    task: TaskCard


class TaskPlanRecorded(TaskRecorded):
    """What planning a task anew did."""

    kind: str = Field(description="Of the thing that was changed first")
    key: str = Field(description="Of that thing; undo it to take back all")


class LinkRecorded(Recorded):
    """What adding or taking out a link did."""

    link: Document


class SendOutRecorded(Recorded):
    """What an edit of a send-out did."""

    send_out: BoardLine


class SendOutAnswer(Answer):
    """One send-out: as it stands in the plan file, and where it is."""

    send_out: SendOutDocument
    version: Version
    board: BoardLine
    plan_version: PlanVersion
