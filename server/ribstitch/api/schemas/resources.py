"""Things that are listed and edited alike: parts of a plan file with key and version."""

from __future__ import annotations

from typing import Any, cast

from pydantic import BaseModel, create_model

from ribstitch.api.resources import Resource
from ribstitch.api.schemas.base import Answer, Recorded, Version


def line_model(resource: Resource) -> type[BaseModel]:
    """Return the model of one thing: the plan file's own, with key and version."""
    name = resource.kind.part.__name__.replace("Document", "Line")
    fields: dict[str, Any] = {"key": (str, ...), "version": (Version, ...)}
    return cast("type[BaseModel]", create_model(name, __base__=resource.kind.part, **fields))


def list_model(resource: Resource) -> type[BaseModel]:
    """Return the model of a list of things."""
    name = resource.kind.part.__name__.replace("Document", "List")
    fields: dict[str, Any] = {resource.plural: (list[line_model(resource)], ...)}  # type: ignore[misc]
    return cast("type[BaseModel]", create_model(name, __base__=Answer, **fields))


def edited_model(resource: Resource) -> type[BaseModel]:
    """Return the model of what an edit answers."""
    name = resource.kind.part.__name__.replace("Document", "Edited")
    fields: dict[str, Any] = {resource.name: (line_model(resource), ...)}
    return cast("type[BaseModel]", create_model(name, __base__=Recorded, **fields))


def recorded_line_model(resource: Resource) -> type[BaseModel]:
    """Return the model of what a change answers that begins with the thing itself."""
    name = resource.kind.part.__name__.replace("Document", "Recorded")
    bases = (line_model(resource), Recorded)
    return cast("type[BaseModel]", create_model(name, __base__=bases))
