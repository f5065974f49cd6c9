"""Things whose keys are the same in a plan file and in the plan: lists there, tuples here."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from ribstitch.planfile import document as doc
from ribstitch.planning import model

MODELS: dict[type[doc.Document], type[Any]] = {
    doc.CheckDocument: model.Check,
    doc.OriginDocument: model.Origin,
    doc.FindingDocument: model.Finding,
    doc.StandingJobDocument: model.StandingJob,
    doc.StepPlaceDocument: model.StepPlace,
    doc.CardStepDocument: model.CardStep,
    doc.StepOrderDocument: model.StepOrder,
    doc.CardRiskDocument: model.CardRisk,
    doc.MethodCardDocument: model.MethodCard,
    doc.EvidenceDocument: model.Evidence,
    doc.SignOffDocument: model.SignOff,
    doc.DraftDocument: model.Draft,
}
"""What each part of a plan file is in the plan."""

_PARTS = {thing: part for part, thing in MODELS.items()}


def thing_from(part: Any) -> Any:
    """Convert a part, and all that is in it, to what it is in the plan."""
    if isinstance(part, doc.Document):
        return MODELS[type(part)](**{name: thing_from(value) for name, value in part})
    if isinstance(part, list | tuple):
        return tuple(thing_from(one) for one in part)
    if isinstance(part, dict):
        return tuple(sorted(part.items()))
    return part


def part_of(thing: Any) -> Any:
    """Convert a thing of the plan, and all that is in it, to a part of a plan file."""
    part = _PARTS[type(thing)]
    return part.model_validate(_plain(thing))


def _plain(value: Any) -> Any:
    """Return a thing as dictionaries and lists; hours and digests in the file's own shape."""
    if is_dataclass(value) and not isinstance(value, type):
        part = _PARTS[type(value)].model_fields
        return {
            one.name: _in_shape(getattr(value, one.name), str(part[one.name].annotation))
            for one in fields(value)
        }
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value


def _in_shape(value: Any, annotation: str) -> Any:
    """Return a value in the shape of its field: a range stays a tuple, pairs are a dictionary."""
    if isinstance(value, tuple):
        if annotation.startswith("dict"):
            return dict(value)
        if "tuple" in annotation.lower():
            return value
    return _plain(value)
