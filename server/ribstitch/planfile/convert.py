"""Between the parts of a plan file (days, lists) and the core's plan (ticks, tuples)."""

from __future__ import annotations

from ribstitch.planfile import document as doc
from ribstitch.planfile.alike import part_of, thing_from
from ribstitch.planfile.convert_risks import (
    expedite_document,
    expedite_from,
    risk_document,
    risk_from,
)
from ribstitch.planfile.ranges import range_document, range_from
from ribstitch.planning import model
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.ticks import days_from_ticks, ticks_from_days

_LEGS = ("prepare", "ship_out", "customs_out", "intake", "approval", "lead",
         "ship_back", "customs_back", "accept")  # fmt: skip


def _days_or_none(ticks: int | None) -> float | None:
    """Convert ticks to days where there are any."""
    return None if ticks is None else days_from_ticks(ticks)


def _ticks_or_none(days: float | None) -> int | None:
    """Convert days to ticks where there are any."""
    return None if days is None else ticks_from_days(days)


def project_from(part: doc.ProjectDocument) -> model.Project:
    """Convert a project; without an as-of date, that is the start."""
    return model.Project(
        start=part.start,
        as_of=part.as_of or part.start,
        name=part.name,
        aircraft=part.aircraft,
        serial=part.serial,
        currency=part.currency,
        calendar=part.calendar or "shop",
        target_finish=part.target_finish,
        out_of_sequence=part.out_of_sequence,
        work_shape=part.work_shape,
        zone_spread=part.zone_spread,
        trade_spread=part.trade_spread,
        standing_per_month=part.standing_per_month,
        balance=part.balance,
        balance_on=part.balance_on,
        health_limits=tuple(sorted(part.health_limits.items())),
        airframe=part.airframe,
        restored_to=part.restored_to,
        rule_book=part.rule_book,
    )


def project_document(project: model.Project) -> doc.ProjectDocument:
    """Convert a project back."""
    return doc.ProjectDocument(
        name=project.name,
        aircraft=project.aircraft,
        serial=project.serial,
        start=project.start,
        as_of=project.as_of,
        currency=project.currency,
        calendar=project.calendar,
        target_finish=project.target_finish,
        out_of_sequence=project.out_of_sequence,
        work_shape=project.work_shape,
        zone_spread=project.zone_spread,
        trade_spread=project.trade_spread,
        standing_per_month=project.standing_per_month,
        balance=project.balance,
        balance_on=project.balance_on,
        health_limits=dict(project.health_limits),
        airframe=project.airframe,
        restored_to=project.restored_to,
        rule_book=project.rule_book,
    )


def calendar_from(part: doc.CalendarDocument) -> model.Calendar:
    """Convert a calendar."""
    return model.Calendar(
        id=part.id,
        name=part.name,
        elapsed=part.elapsed,
        day_hours=part.day_hours,
        week_hours=tuple(part.week),
        holidays=part.holidays,
        closed=tuple(part.closed),
        opened=tuple((one.date, one.hours) for one in part.open),
    )


def calendar_document(calendar: model.Calendar) -> doc.CalendarDocument:
    """Convert a calendar back."""
    return doc.CalendarDocument(
        id=calendar.id,
        name=calendar.name,
        elapsed=calendar.elapsed,
        day_hours=calendar.day_hours,
        week=list(calendar.week_hours),
        holidays=calendar.holidays,
        closed=list(calendar.closed),
        open=[doc.OpeningDocument(date=day, hours=hours) for day, hours in calendar.opened],
    )


def status_from(part: doc.StatusDocument) -> model.TaskStatus:
    """Convert a task's status."""
    return model.TaskStatus(
        state=part.state,
        started=part.started,
        finished=part.finished,
        remaining=_ticks_or_none(part.remaining_days),
        held_reason=part.held_reason,
        held_until=part.held_until,
    )


def status_document(status: model.TaskStatus) -> doc.StatusDocument:
    """Convert a task's status back."""
    return doc.StatusDocument(
        state=status.state,
        started=status.started,
        finished=status.finished,
        remaining_days=_days_or_none(status.remaining),
        held_reason=status.held_reason,
        held_until=status.held_until,
    )


def task_from(part: doc.TaskDocument, where: str = "task") -> model.Task:
    """
    Convert a task.

    Raises
    ------
    InvalidValueError
        If it has neither days nor a milestone.
    """
    if part.days is None and part.milestone is None:
        raise InvalidValueError(f"{where}.days", f'"{part.id}" needs days or a milestone', None)
    return model.Task(
        id=part.id,
        duration=ticks_from_days(part.days or 0),
        name=part.name,
        zone=part.zone,
        chapter=part.chapter,
        calendar=part.calendar,
        duration_range=range_from(part.days_range),
        trade=part.trade,
        people=part.people,
        places=tuple(part.places),
        not_before=part.not_before,
        deadline=part.deadline,
        milestone=part.milestone,
        status=status_from(part.status),
        why=part.why,
        hazards=tuple(part.hazards),
        notes=part.notes,
        check=thing_from(part.check),
        origin=thing_from(part.origin),
    )


def task_document(task: model.Task) -> doc.TaskDocument:
    """Convert a task back."""
    return doc.TaskDocument(
        id=task.id,
        name=task.name,
        zone=task.zone,
        chapter=task.chapter,
        calendar=task.calendar,
        days=None if task.milestone is not None else days_from_ticks(task.duration),
        days_range=range_document(task.duration_range),
        trade=task.trade,
        people=task.people,
        places=list(task.places),
        not_before=task.not_before,
        deadline=task.deadline,
        milestone=task.milestone,
        status=status_document(task.status),
        why=task.why,
        hazards=list(task.hazards),
        notes=task.notes,
        check=None if task.check is None else part_of(task.check),
        origin=None if task.origin is None else part_of(task.origin),
    )


def link_from(part: doc.LinkDocument) -> model.Link:
    """Convert a link."""
    return model.Link(
        part.before, part.after, part.type, ticks_from_days(part.lag_days), part.lag_on
    )


def link_document(link: model.Link) -> doc.LinkDocument:
    """Convert a link back."""
    return doc.LinkDocument.model_validate(
        {
            "from": link.before,
            "to": link.after,
            "type": link.relation,
            "lag_days": days_from_ticks(link.lag),
            "lag_on": link.lag_on,
        }
    )


def send_out_from(part: doc.SendOutDocument) -> model.SendOut:
    """Convert a send-out."""
    return model.SendOut(
        id=part.id,
        vendor=part.vendor,
        name=part.name,
        kind=part.kind,
        source=part.source,
        after=tuple(part.after),
        before=tuple(part.before),
        trip_of=part.trip_of,
        **{leg: ticks_from_days(getattr(part, f"{leg}_days")) for leg in _LEGS},
        return_leg=ticks_from_days(part.return_days),
        status=thing_from(part.status),
        contacts=thing_from(part.contacts),
        dropped=part.dropped,
        notes=part.notes,
    )


def send_out_document(item: model.SendOut) -> doc.SendOutDocument:
    """Convert a send-out back."""
    return doc.SendOutDocument(
        id=item.id,
        name=item.name,
        kind=item.kind,
        source=item.source,
        vendor=item.vendor,
        after=list(item.after),
        before=list(item.before),
        trip_of=item.trip_of,
        **{f"{leg}_days": days_from_ticks(getattr(item, leg)) for leg in _LEGS},
        return_days=days_from_ticks(item.return_leg),
        status=part_of(item.status),
        contacts=[part_of(one) for one in item.contacts],
        dropped=item.dropped,
        notes=item.notes,
    )


def crew_link_from(part: doc.CrewLinkDocument) -> model.CrewLink:
    """Convert a crew link."""
    return model.CrewLink(part.before, part.after, part.kind, tuple(part.names), part.units)


def crew_link_document(link: model.CrewLink) -> doc.CrewLinkDocument:
    """Convert a crew link back."""
    return doc.CrewLinkDocument.model_validate(
        {
            "from": link.before,
            "to": link.after,
            "kind": link.kind,
            "names": list(link.names),
            "units": link.units,
        }
    )


def plan_from(part: doc.PlanDocument) -> model.Plan:
    """
    Convert a whole plan file.

    A project that names no calendar works on "shop"; if none is declared, a shop that
    works Monday to Friday is added.

    Raises
    ------
    InvalidValueError
        If a task has neither days nor a milestone.
    """
    calendars = tuple(calendar_from(one) for one in part.calendars)
    if part.project.calendar is None and "shop" not in {one.id for one in calendars}:
        calendars = (model.Calendar("shop"), *calendars)
    return model.Plan(
        project=project_from(part.project),
        calendars=calendars,
        zones=thing_from(part.zones),
        tasks=tuple(task_from(one, f"tasks[{n}]") for n, one in enumerate(part.tasks)),
        links=tuple(link_from(one) for one in part.links),
        kinds=thing_from(part.kinds),
        vendors=thing_from(part.vendors),
        send_outs=tuple(send_out_from(one) for one in part.send_outs),
        crew=thing_from(part.crew),
        places=thing_from(part.places),
        crew_links=tuple(crew_link_from(one) for one in part.crew_links),
        expedites=tuple(expedite_from(one) for one in part.expedites),
        risks=tuple(risk_from(one) for one in part.risks),
        costs=thing_from(part.costs),
        budget=thing_from(part.budget),
        exchange_rates=thing_from(part.exchange_rates),
        hours=thing_from(part.hours),
        funding=thing_from(part.funding),
        baselines=thing_from(part.baselines),
        over_and_above=thing_from(part.over_and_above),
        cards=thing_from(part.cards),
        standing_jobs=thing_from(part.standing_jobs),
        findings=thing_from(part.findings),
        evidence=thing_from(part.evidence),
        sign_offs=thing_from(part.sign_offs),
        drafts=thing_from(part.drafts),
        drawings=thing_from(part.drawings),
    )


def plan_to(plan: model.Plan) -> doc.PlanDocument:
    """Convert a whole plan back; `plan_from` of the result is the same plan."""
    return doc.PlanDocument(
        format="ribstitch-plan/1",
        project=project_document(plan.project),
        calendars=[calendar_document(one) for one in plan.calendars],
        zones=[part_of(one) for one in plan.zones],
        tasks=[task_document(one) for one in plan.tasks],
        links=[link_document(one) for one in plan.links],
        kinds=[part_of(one) for one in plan.kinds],
        vendors=[part_of(one) for one in plan.vendors],
        send_outs=[send_out_document(one) for one in plan.send_outs],
        crew=[part_of(one) for one in plan.crew],
        places=[part_of(one) for one in plan.places],
        crew_links=[crew_link_document(one) for one in plan.crew_links],
        expedites=[expedite_document(one) for one in plan.expedites],
        risks=[risk_document(one) for one in plan.risks],
        costs=[part_of(one) for one in plan.costs],
        budget=[part_of(one) for one in plan.budget],
        exchange_rates=[part_of(one) for one in plan.exchange_rates],
        hours=[part_of(one) for one in plan.hours],
        funding=[part_of(one) for one in plan.funding],
        baselines=[part_of(one) for one in plan.baselines],
        over_and_above=[part_of(one) for one in plan.over_and_above],
        cards=[part_of(one) for one in plan.cards],
        standing_jobs=[part_of(one) for one in plan.standing_jobs],
        findings=[part_of(one) for one in plan.findings],
        evidence=[part_of(one) for one in plan.evidence],
        sign_offs=[part_of(one) for one in plan.sign_offs],
        drafts=[part_of(one) for one in plan.drafts],
        drawings=[part_of(one) for one in plan.drawings],
    )
