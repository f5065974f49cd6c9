"""What a plan is made of in words: kinds of things and their fields, the work of the trades."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel

from ribstitch.planfile.document import ProjectDocument
from ribstitch.planning.trades import WORK
from ribstitch.store.kinds import PLAN_KINDS, PROJECT
from tools.catalogue.text import Text

_WHERE = "changes.js"


def plan_words() -> Iterator[Text]:
    """Return each kind, each field (``held_reason`` reads "held reason"), and each trade's work."""
    for work in WORK.values():
        yield Text(work, "trades.py")
    documents: dict[str, type[BaseModel]] = {PROJECT.name: ProjectDocument}
    documents |= {kind.name: kind.part for kind in PLAN_KINDS.values()}
    for kind, document in documents.items():
        for name in (kind, *_fields(document)):
            yield Text(name.replace("_", " "), _WHERE)


def _fields(annotation: Any) -> Iterator[str]:
    """Return the fields of a document and of those in it."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        for name, field in annotation.model_fields.items():
            yield name
            yield from _fields(field.annotation)
    for inner in get_args(annotation):
        yield from _fields(inner)
