"""What is to be known of a kind of thing to store it."""

from __future__ import annotations

from collections.abc import Callable, Container
from dataclasses import dataclass, replace
from functools import cached_property
from inspect import signature
from itertools import chain, count
from typing import Any, Generic, TypeVar

import orjson
from pydantic import BaseModel
from sqlalchemy import Column, Table

from ribstitch.planning.model import Plan
from ribstitch.store.tables import PlanRow, table_of

Thing = TypeVar("Thing")


@dataclass(frozen=True)
class Kind(Generic[Thing]):
    """
    One kind of thing in a plan.

    `build` takes the key and then the table's own columns, by position; the names of its
    parameters are the names of the columns.
    """

    name: str
    plan_field: str
    row: type[PlanRow]
    key_of: Callable[[Thing], str]
    build: Callable[..., Thing]
    values: Callable[[Thing], dict[str, Any]]
    """The table's own columns and what stands in them."""
    part: type[BaseModel]
    """How a thing stands in a plan file."""
    to_part: Callable[[Thing], BaseModel]
    from_part: Callable[[Any], Thing]

    @cached_property
    def table(self) -> Table:
        """The table that holds the things."""
        return table_of(self.row)

    @cached_property
    def columns(self) -> tuple[Column[Any], ...]:
        """The columns that `build` takes, the key first."""
        return tuple(self.table.c[name] for name in signature(self.build).parameters)

    def document(self, thing: Thing | None) -> dict[str, Any] | None:
        """Return a thing as a part of a plan file, with defaults left out."""
        return None if thing is None else document_of(self.to_part(thing))

    def from_document(self, document: dict[str, Any]) -> Thing:
        """Return the thing that a part of a plan file describes."""
        return self.from_part(self.part.model_validate_json(orjson.dumps(document)))

    def things(self, plan: Plan) -> tuple[Thing, ...]:
        """Return the plan's things of this kind."""
        found: tuple[Thing, ...] = getattr(plan, self.plan_field)
        return found

    def keys(self, things: tuple[Thing, ...]) -> list[str]:
        """Return a key for each thing, numbered from 2 where one comes again."""
        keys: dict[str, None] = {}
        for thing in things:
            keys[free_key(self.key_of(thing), keys)] = None
        return list(keys)

    def with_things(self, plan: Plan, things: tuple[Thing, ...]) -> Plan:
        """Return the plan with other things of this kind."""
        changed: dict[str, Any] = {self.plan_field: things}
        return replace(plan, **changed)


def free_key(wanted: str, taken: Container[str]) -> str:
    """Return a key that is not taken: the wanted one, else numbered from 2."""
    numbered = (f"{wanted}#{number}" for number in count(2))
    return next(key for key in chain((wanted,), numbered) if key not in taken)


def range_of(low: int | None, likely: int | None, high: int | None) -> tuple[int, int, int] | None:
    """Return low, likely and high out of their columns; None where there are none."""
    return None if low is None or likely is None or high is None else (low, likely, high)


def document_of(part: BaseModel) -> dict[str, Any]:
    """Return a part of a plan file as JSON-ready data, with defaults left out."""
    return part.model_dump(mode="json", by_alias=True, exclude_defaults=True)
