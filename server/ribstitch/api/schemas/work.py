"""What edits of tasks, links and send-outs answer."""

from __future__ import annotations

from ribstitch.api.schemas.base import Answer, Document, PlanVersion, Recorded, Version
from ribstitch.planfile.document import SendOutDocument
from ribstitch.services.views.away import BoardLine
from ribstitch.services.views.task_card import TaskCard


class TaskRecorded(Recorded):
    """What an edit of a task did."""

    task: TaskCard


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
