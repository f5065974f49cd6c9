"""What a backup says of itself: the release, the tables, and the digest of every member."""

from __future__ import annotations

import re
from typing import Annotated, Final, Literal

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field

MANIFEST: Final = "manifest.json"
_MEMBER = re.compile(r"rows/[a-z][a-z_]*\.jsonl|files/[0-9a-f]{64}")


def rows_member(table: str) -> str:
    """Return the member that holds the rows of a table."""
    return f"rows/{table}.jsonl"


def file_member(digest: str) -> str:
    """Return the member that holds a photo or a document."""
    return f"files/{digest}"


def _known_name(name: str) -> str:
    """Refuse a member that is neither rows nor a file: no name may lead elsewhere."""
    if not _MEMBER.fullmatch(name):
        raise ValueError(f'"{name[:80]}" is the name of no member')
    return name


class Member(BaseModel):
    """Size and digest of one member."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    bytes: int = Field(ge=0)
    sha256: str = Field(pattern="^[0-9a-f]{64}$")


class Manifest(BaseModel):
    """The member `manifest.json`."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: Literal["ribstitch-backup/1"] = "ribstitch-backup/1"
    program: str
    """Version of the release that wrote it."""
    revision: str
    """Last migration that the database had seen."""
    made_at: AwareDatetime
    tables: dict[str, int]
    """Number of rows by table."""
    members: dict[Annotated[str, AfterValidator(_known_name)], Member]

    @property
    def digests(self) -> list[str]:
        """Digests of the photos and documents."""
        return [name.removeprefix("files/") for name in self.members if name.startswith("files/")]
