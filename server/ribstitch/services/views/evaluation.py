"""The evaluation: every finding and what came of it, the zones, what there is to choose from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ribstitch.planning.model import Finding, MethodCard, State, Task, Zone
from ribstitch.seeding import library
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE
from ribstitch.services.trade_words import Chapter, GradeWords, TreatmentWords, trade_words
from ribstitch.store.kinds import FINDING

GRADES = 6
_USUAL_CHAPTERS = 6
"""How many chapters of a zone are offered first."""
_BEGUN = (State.IN_WORK, State.HELD)


@dataclass(frozen=True, slots=True)
class FindingLine:
    """A finding and what came of it."""

    key: str
    version: int
    finding: dict[str, Any]
    """As in the plan file: what stands at its default is left out."""
    evidence: int
    """How many photos and documents."""
    tasks: int
    """Drafted from it and not dropped."""
    begun: int
    """Of these, in work or held."""
    done: int


@dataclass(frozen=True, slots=True)
class ZoneEvaluation:
    """What was found in a zone; withdrawn findings do not count."""

    id: str
    name: str
    bays: str | None
    """How many of its bays are opened up by a standing job, a decimal number."""
    is_open: bool | None
    """Whether all that is hidden was seen; None: the plan does not say what opens it."""
    findings: int
    decided: int
    by_grade: list[int]
    """How many of grade 0, 1, 2, 3, 4, 5."""
    chapters: list[str]
    """That its tasks and findings are of, the most frequent first."""


@dataclass(frozen=True, slots=True)
class CardChoice:
    """A method card that a finding can choose."""

    id: str
    name: str
    driver: str
    evidence: str
    from_memory: bool
    leaves: bool
    """Whether the item usually leaves the shop midway."""
    retired: bool


@dataclass(frozen=True, slots=True)
class NamedKind:
    """A kind of outside work."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Evaluation:
    """All findings, and what there is to choose from."""

    zones: list[ZoneEvaluation]
    findings: list[FindingLine]
    """In order of entry, withdrawn ones as well."""
    by_grade: list[int]
    by_treatment: dict[str, int]
    undecided: int
    not_planned: int
    """Decided findings that mean work, and have no task yet."""
    people: list[str]
    """Who found or decided anything so far."""
    cards: list[CardChoice]
    kinds: list[NamedKind]
    trades: list[str]
    grades: tuple[GradeWords, ...]
    treatments: tuple[TreatmentWords, ...]
    chapters: tuple[Chapter, ...]
    standing_line: str


def evaluation(current: CurrentPlan) -> Evaluation:
    """Return the evaluation of a plan."""
    plan, words = current.plan, trade_words()
    standing = [one for one in plan.findings if not one.dropped]
    tasks = _tasks_by_finding(plan.tasks)
    kinds = dict(words.send_out_kinds) | {one.id: one.name or one.id for one in plan.kinds}
    people = {name for one in plan.findings for name in (one.seen_by, one.decided_by) if name}
    return Evaluation(
        zones=_zones(current, standing),
        findings=_lines(current, tasks),
        by_grade=_by_grade(standing),
        by_treatment=dict(Counter(one.treatment.value for one in standing if one.treatment)),
        undecided=sum(one.treatment is None for one in standing),
        not_planned=sum(means_work(one) and one.id not in tasks for one in standing),
        people=sorted(people),
        cards=[_choice(card) for card in plan.cards],
        kinds=[NamedKind(key, name) for key, name in kinds.items()],
        trades=sorted(
            {*(one.trade for one in plan.crew), *(one.trade for one in plan.tasks if one.trade)}
        ),
        grades=words.grades,
        treatments=words.treatments,
        chapters=words.chapters,
        standing_line=STANDING_LINE,
    )


def means_work(finding: Finding) -> bool:
    """Return whether what was decided leads to work, here or elsewhere."""
    work = finding.card or finding.own_hours or finding.send_out_kind
    return finding.treatment is not None and bool(work)


def _lines(current: CurrentPlan, tasks: Mapping[str, list[Task]]) -> list[FindingLine]:
    """Return the findings in order of entry."""
    shown = Counter(one.finding for one in current.plan.evidence)
    lines = []
    versions = current.versions[FINDING.name].items()
    for (key, version), finding in zip(versions, current.plan.findings, strict=True):
        states = [task.status.state for task in tasks.get(finding.id, [])]
        lines.append(
            FindingLine(
                key=key,
                version=version,
                finding=_document(finding),
                evidence=shown[finding.id],
                tasks=len(states),
                begun=sum(state in _BEGUN for state in states),
                done=states.count(State.DONE),
            )
        )
    return lines


@lru_cache(maxsize=8_192)
def _document(finding: Finding) -> dict[str, Any]:
    """Return a finding as in the plan file; most are as they were before a change."""
    return FINDING.document(finding) or {}


def _tasks_by_finding(tasks: Iterable[Task]) -> dict[str, list[Task]]:
    """Return the tasks that were drafted from each finding, but for dropped ones."""
    found: dict[str, list[Task]] = {}
    for task in tasks:
        if task.origin and task.origin.finding and task.status.state is not State.DROPPED:
            found.setdefault(task.origin.finding, []).append(task)
    return found


def _zones(current: CurrentPlan, standing: list[Finding]) -> list[ZoneEvaluation]:
    """Return the zones in the plan's order."""
    plan = current.plan
    tasks = {task.id: task for task in plan.tasks}
    drivers = {card.id: card.driver for card in plan.cards}
    bays = {job.zone: job.quantity for job in plan.standing_jobs if drivers[job.card] == "bay"}
    usual = library.usual_chapters(plan.project.airframe)
    chapters: dict[str | None, Counter[str]] = {}
    placed: list[Task | Finding] = [*plan.tasks, *standing]
    for one in placed:
        if one.chapter:
            chapters.setdefault(one.zone, Counter())[one.chapter] += 1
    found: dict[str | None, list[Finding]] = {}
    for finding in standing:
        found.setdefault(finding.zone, []).append(finding)
    return [
        ZoneEvaluation(
            id=zone.id,
            name=zone.name or zone.id,
            bays=f"{bays[zone.id]:f}" if zone.id in bays else None,
            is_open=_is_open(zone, tasks),
            findings=len(found.get(zone.id, [])),
            decided=sum(one.treatment is not None for one in found.get(zone.id, [])),
            by_grade=_by_grade(found.get(zone.id, [])),
            chapters=_first_offered(chapters.get(zone.id, Counter()), usual.get(zone.id, ())),
        )
        for zone in plan.zones
    ]


def _is_open(zone: Zone, tasks: Mapping[str, Task]) -> bool | None:
    """Return whether the task that opens a zone is done; None where none is named."""
    return None if zone.opened_by is None else tasks[zone.opened_by].status.state is State.DONE


def _by_grade(findings: Iterable[Finding]) -> list[int]:
    counts = Counter(one.grade for one in findings)
    return [counts[grade] for grade in range(GRADES)]


def _first_offered(chapters: Counter[str], usual: Sequence[str]) -> list[str]:
    """
    Return the most frequent chapters, then those that are usual where nothing is found yet.

    Those as frequent as each other stand by number.
    """
    order = sorted(chapters, key=lambda one: (-chapters[one], one))
    return list(dict.fromkeys([*order, *usual]))[:_USUAL_CHAPTERS]


def _choice(card: MethodCard) -> CardChoice:
    return CardChoice(
        id=card.id,
        name=card.name,
        driver=card.driver,
        evidence=card.evidence,
        from_memory=card.from_memory,
        leaves=card.leaves_after is not None,
        retired=card.retired,
    )
