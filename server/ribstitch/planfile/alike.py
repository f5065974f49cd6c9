"""Things whose keys are the same in a plan file and in the plan: lists there, tuples here."""

from __future__ import annotations

from functools import cache
from types import UnionType
from typing import Any, Union, get_args, get_origin

from ribstitch.planfile import document as doc
from ribstitch.planning import model

MODELS: dict[type[doc.Document], type[Any]] = {
    doc.CheckDocument: model.Check,
    doc.OriginDocument: model.Origin,
    doc.ZoneDocument: model.Zone,
    doc.SendOutKindDocument: model.SendOutKind,
    doc.PastJobDocument: model.PastJob,
    doc.VendorDocument: model.Vendor,
    doc.SendOutStatusDocument: model.SendOutStatus,
    doc.ContactDocument: model.Contact,
    doc.RateFromDocument: model.RateFrom,
    doc.CrewDocument: model.Crew,
    doc.PlaceDocument: model.Place,
    doc.CostStepDocument: model.CostStep,
    doc.PaymentDocument: model.Payment,
    doc.DueDocument: model.Due,
    doc.CostDocument: model.Cost,
    doc.BudgetDocument: model.BudgetLine,
    doc.ExchangeRateDocument: model.ExchangeRate,
    doc.HoursWorkedDocument: model.HoursWorked,
    doc.FundingDocument: model.Funding,
    doc.PackageDocument: model.Package,
    doc.BaselineDocument: model.Baseline,
    doc.OverAndAboveDocument: model.OverAndAbove,
    doc.FindingDocument: model.Finding,
    doc.StandingJobDocument: model.StandingJob,
    doc.StepPlaceDocument: model.StepPlace,
    doc.CardStepDocument: model.CardStep,
    doc.StepOrderDocument: model.StepOrder,
    doc.CardRiskDocument: model.CardRisk,
    doc.MethodCardDocument: model.MethodCard,
    doc.EvidenceDocument: model.Evidence,
    doc.OutlineDocument: model.Outline,
    doc.DrawingDocument: model.Drawing,
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
    return part(**{name: _given(getattr(thing, name), shape) for name, shape in _shapes(part)})


def _given(value: Any, shape: type[Any]) -> Any:
    """Return a value as its field takes it: several of something in the field's own shape."""
    if isinstance(value, tuple):
        return dict(value) if shape is dict else shape(_given(one, list) for one in value)
    return part_of(value) if type(value) in _PARTS else value


@cache
def _shapes(part: type[doc.Document]) -> tuple[tuple[str, type[Any]], ...]:
    """Return the keys of a part, and whether several are a list, a tuple or a dictionary."""
    found: list[tuple[str, type[Any]]] = []
    for name, field in part.model_fields.items():
        given = field.annotation
        choices = get_args(given) if get_origin(given) in {Union, UnionType} else (given,)
        origins = {get_origin(one) for one in choices}
        found.append((name, next((one for one in (dict, tuple) if one in origins), list)))
    return tuple(found)
