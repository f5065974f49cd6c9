"""Sign-offs as they are asked for and shown."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from ribstitch.api.schemas.base import Answer, Recorded
from ribstitch.planfile.document import Document, Id, Name, StatusDocument, Text
from ribstitch.services.sign_off import Signed
from ribstitch.services.views.check_lines import Signer, SignOffLine
from ribstitch.services.views.task_card import TaskCard


class RecordSignOffAsked(Document):
    """What somebody says about a record that licensed people must settle."""

    by: Annotated[Name, Field(description="Who signs, by name")]
    licence: Annotated[Name, Field(description="Number and scope, as they give it")] = ""
    statement: Annotated[Text, Field(description="What was settled, in their words")] = ""
    evidence: list[Id] = Field(default=[], description="Ids of what shows it")
    reopens: Annotated[bool, Field(description="It takes back what was signed before")] = False
    on: Annotated[date | None, Field(description="Without it the as-of date")] = None

    def signed(self, override: str = "") -> Signed:
        """Return what is signed."""
        return Signed(
            self.by, self.licence, self.statement, tuple(self.evidence), override, self.reopens,
            self.on,
        )  # fmt: skip


class SignOffAsked(RecordSignOffAsked):
    """What somebody says about the check of a task."""

    override: Annotated[Text, Field(description="Why the check is passed over")] = ""
    status: Annotated[
        StatusDocument | None, Field(description="Where the task stands with it, in one step")
    ] = None


class SignOffList(Answer):
    """All sign-offs, and who may sign next."""

    sign_offs: list[SignOffLine]
    signers: list[Signer]


class SignOffRecorded(Recorded):
    """What signing the check of a task did."""

    sign_off: SignOffLine
    task: TaskCard


class RecordSignOffRecorded(Recorded):
    """What signing a record did."""

    sign_off: SignOffLine
