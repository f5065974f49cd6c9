"""What the evaluation knows, and drawings: columns with the plan file's names and shapes."""

from __future__ import annotations

from inspect import Parameter, Signature
from typing import Any

import orjson
from sqlalchemy import Date

from ribstitch.planfile.alike import part_of, thing_from
from ribstitch.planfile.document import (
    Document,
    DraftDocument,
    DrawingDocument,
    EvidenceDocument,
    FindingDocument,
    MethodCardDocument,
    SignOffDocument,
    StandingJobDocument,
)
from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.kinds.kind import Kind
from ribstitch.store.tables import (
    DraftRow,
    DrawingRow,
    EvidenceRow,
    FindingRow,
    MethodCardRow,
    PlanRow,
    SignOffRow,
    StandingJobRow,
    table_of,
)


def _alike(name: str, plan_field: str, row: type[PlanRow], part: type[Document]) -> Kind[Any]:
    """Return a kind whose columns have the names and the shapes of the plan file's keys."""
    shared = set(PlanRow.model_fields)
    own = [column for column in table_of(row).columns if column.name not in shared]
    as_they_are = {one.name for one in own if isinstance(one.type, ExactDecimal | Date)}

    def build(key: str, *values: Any) -> Any:
        columns = zip((column.name for column in own), values, strict=True)
        given = {column: value for column, value in columns if value is not None}
        return thing_from(part.model_validate_json(orjson.dumps({"id": key, **given}, default=str)))

    def values(thing: Any) -> dict[str, Any]:
        plain = part_of(thing).model_dump(mode="json")
        return {
            one.name: getattr(thing, one.name) if one.name in as_they_are else plain[one.name]
            for one in own
        }

    names = ["key", *(column.name for column in own)]
    build.__signature__ = Signature(  # type: ignore[attr-defined]
        [Parameter(name, Parameter.POSITIONAL_ONLY) for name in names]
    )
    return Kind(
        name=name,
        plan_field=plan_field,
        row=row,
        key_of=lambda thing: str(thing.id),
        build=build,
        values=values,
        part=part,
        to_part=part_of,
        from_part=thing_from,
    )


METHOD_CARD = _alike("method_card", "cards", MethodCardRow, MethodCardDocument)
STANDING_JOB = _alike("standing_job", "standing_jobs", StandingJobRow, StandingJobDocument)
FINDING = _alike("finding", "findings", FindingRow, FindingDocument)
EVIDENCE = _alike("evidence", "evidence", EvidenceRow, EvidenceDocument)
SIGN_OFF = _alike("sign_off", "sign_offs", SignOffRow, SignOffDocument)
DRAFT = _alike("draft", "drafts", DraftRow, DraftDocument)
DRAWING = _alike("drawing", "drawings", DrawingRow, DrawingDocument)
